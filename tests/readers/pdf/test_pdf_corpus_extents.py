"""Extents of every path in the corpus against PDFium's; skipped where the corpus is not beside the project.

The measurements are those of the corpus' reference-pdf.json.gz and the comparison is its own extents.py.
"""

from __future__ import annotations

import gzip
import importlib.util
import json
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from preflight.artwork.model import Artwork, Box, NoteKind, Object
from preflight.geometry.extents import object_boxes
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

SHARED = Path(__file__).parents[4] / "shared"
REFERENCE = SHARED / "corpus" / "reference-pdf.json.gz"

pytestmark = pytest.mark.skipif(not REFERENCE.exists(), reason="the corpus is not beside the project")

HIDDEN_LAYERS = "the reference lists paths of layers that are off; PDFium does not draw them either"
CLIPPED_AWAY = "the reference lists crop marks that the file's own clip takes away"
DAMAGED = (
    "part of the content is damaged and unpacks to nonsense, which either reads in its own way; ours says so"
)

EXPLAINED = {
    "pdf/broken/safedocs__utf16LE-test.pdf": HIDDEN_LAYERS,
    "pdf/general/format-corpus__033689.pdf": DAMAGED,
    "pdf/general/pdf-js__issue269_1.pdf": HIDDEN_LAYERS,
    "pdf/general/pdfplumber__senate-expenditures.pdf": CLIPPED_AWAY,
    "pdf/layers/pdf-js__issue11144_reduced.pdf": HIDDEN_LAYERS,
}


def comparison() -> ModuleType:
    spec = importlib.util.spec_from_file_location("extents_tool", SHARED / "tools" / "extents.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def measured() -> dict[str, Any]:
    if not REFERENCE.exists():
        return {}
    found: dict[str, Any] = json.loads(gzip.decompress(REFERENCE.read_bytes()))
    return found


REFERENCES = measured()


def counted(one: Object, reason: str | None) -> bool:
    """Whether a path is held against the reference: it shows, or the reason given says that it counts all the same."""
    hidden = one.hidden is not None and reason != HIDDEN_LAYERS
    clipped = one.clipped_away and reason != CLIPPED_AWAY
    return one.kind == "path" and not hidden and not clipped


def boxes_of(artwork: Artwork, reason: str | None) -> list[Box]:
    boxes = object_boxes(artwork.outlines).tolist()
    pairs = zip(boxes, artwork.objects, strict=True)
    return [tuple(box) for box, one in pairs if counted(one, reason) and box[0] == box[0]]


def unmet(pages: tuple[Artwork, ...], wanted: list[list[Box]], reason: str | None) -> list[int]:
    """Numbers of the pages on which a path of the reference finds no partner."""
    tool = comparison()
    missing = []
    for number, boxes in enumerate(wanted, start=1):
        page = pages[number - 1]
        tolerance = 0.01 + 1e-4 * max(page.page.width, page.page.height)
        if tool.match(boxes, boxes_of(page, reason), tolerance)[1]:
            missing.append(number)
    return missing


@pytest.mark.parametrize("name", sorted(REFERENCES))
def test_extents(name: str) -> None:
    reference = REFERENCES[name]
    path = SHARED / "corpus" / name
    try:
        pages = read(path.read_bytes(), name, Limits())
    except Unreadable as refusal:
        assert refusal.mend  # noqa: PT017 - a refusal is in order where nothing is drawn
        assert not any(page["paths"] for page in reference.get("pages", ()))
        return
    assert "pages" in reference, "PDFium does not open it: why do we?"
    wanted = comparison().expected_pdf(path, reference)
    missing = unmet(pages, wanted, None)
    if name not in EXPLAINED:
        assert missing == []
        return
    reason = EXPLAINED[name]
    assert missing, "explained, but it agrees: take it off the list"
    if reason == DAMAGED:
        for number in missing:
            notes = pages[number - 1].notes
            assert any(note.kind is NoteKind.FAULT and note.what == "content" for note in notes)
    else:
        assert unmet(pages, wanted, reason) == [], "the reason given does not explain it"
