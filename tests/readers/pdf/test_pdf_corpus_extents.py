"""Real files against what PDFium measured; skipped where the corpus is not beside the project.

The measurements are those of the corpus's reference-pdf.json.gz and the comparison is its own extents.py.
"""

from __future__ import annotations

import gzip
import json
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from preflight.artwork.model import Artwork, Kind
from preflight.geometry.extents import object_boxes
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

SHARED = Path(__file__).parents[4] / "shared"
REFERENCE = SHARED / "corpus" / "reference-pdf.json.gz"

pytestmark = pytest.mark.skipif(not REFERENCE.exists(), reason="the corpus is not beside the project")

Box = tuple[float, ...]

HIDDEN = {
    "pdf/broken/safedocs__utf16LE-test.pdf",
    "pdf/general/pdf-js__issue269_1.pdf",
    "pdf/layers/pdf-js__issue11144_reduced.pdf",
}
"""Layers that the default configuration switches OFF: PDFium lists what lies on them, although it draws nothing of it."""

DAMAGED = {"pdf/general/format-corpus__033689.pdf": 2}
"""A packed stream breaks in the middle: what comes out behind the break is noise, of which PDFium draws two paths
otherwise, because it takes missing operands for zeros where we leave the operator out and say so."""


REFERENCES = json.loads(gzip.decompress(REFERENCE.read_bytes())) if REFERENCE.exists() else {}
NAMES = sorted(
    name
    for name, reference in REFERENCES.items()
    if any(page["paths"] for page in reference.get("pages", ())) and (SHARED / "corpus" / name).exists()
)


def drawn(artwork: Artwork, hidden: bool) -> list[Box]:
    """Boxes of the paths that show, in mm; of all paths where ``hidden``."""
    boxes = object_boxes(artwork.outlines)
    return [
        tuple(box)
        for box, one in zip(boxes.tolist(), artwork.objects, strict=True)
        if one.kind is Kind.PATH and (hidden or one.hidden is None) and np.isfinite(box[0])
    ]


@pytest.mark.parametrize("name", NAMES)
def test_every_path_has_the_extents_that_pdfium_finds(name: str, extents_tool: ModuleType) -> None:
    path = SHARED / "corpus" / name
    artworks = read(path.read_bytes(), name, Limits())
    lost = 0
    for artwork, wanted in zip(artworks, extents_tool.expected_pdf(path, REFERENCES[name]), strict=False):
        within = 0.01 + 1e-4 * max(artwork.page.width, artwork.page.height)
        met, _ = extents_tool.match(wanted, drawn(artwork, hidden=name in HIDDEN), within)
        lost += len(wanted) - met
        if name in HIDDEN:
            fewer, _ = extents_tool.match(wanted, drawn(artwork, hidden=False), within)
            assert fewer < met
    assert lost == DAMAGED.get(name, 0)


def test_the_corpus_is_met_but_for_what_is_explained() -> None:
    assert set(NAMES) >= HIDDEN | set(DAMAGED)
    assert len(NAMES) >= 80
