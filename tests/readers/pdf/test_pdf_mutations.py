"""Files spoilt by chance: each is unreadable with a reason, or its pages say what was not read."""

from __future__ import annotations

import pypdfium2
import pytest
from mutated_pdfs import SEEDS, mutated

from preflight.artwork.model import Artwork, Kind
from preflight.engine import check_bytes
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

LIMITS = Limits(
    seconds=10, decompressed_size=20_000_000, path_segments=200_000, objects=50_000, use_expansion=5_000
)
BATCHES = 12
OF_A_BATCH = 50


@pytest.mark.parametrize("name", SEEDS)
def test_the_files_are_sound_before_they_are_spoilt(name: str) -> None:
    assert [note for note in read(SEEDS[name], name, LIMITS)[0].notes if note.kind == "fault"] == []


def answer(data: bytes, name: str) -> tuple[Artwork, ...] | Unreadable:
    try:
        return read(data, name, LIMITS)
    except Unreadable as refusal:
        return refusal


def paths_in_pdfium(data: bytes) -> int:
    """How many paths PDFium finds on all pages, forms included; none where it does not open the file."""
    try:
        with pypdfium2.PdfDocument(data) as document:
            return sum(
                one.type == pypdfium2.raw.FPDF_PAGEOBJ_PATH
                for page in document
                for one in page.get_objects(max_depth=20)
            )
    except pypdfium2.PdfiumError:
        return 0


def said(pages: tuple[Artwork, ...]) -> set[tuple[str, str]]:
    return {(note.kind, note.what) for page in pages for note in page.notes}


@pytest.mark.parametrize("batch", range(BATCHES))
def test_spoilt_files_get_an_answer(batch: int) -> None:
    silent = 0
    for seed in range(batch * OF_A_BATCH, (batch + 1) * OF_A_BATCH):
        name, data = mutated(seed)
        found = answer(data, f"{seed}.pdf")
        if isinstance(found, Unreadable):
            assert found.what, seed
            assert found.mend, seed
            continue
        assert found, seed
        if said(found) <= said(read(SEEDS[name], name, LIMITS)):
            # Nothing new is said, so nothing may be missing that another reader sees.
            silent += 1
            paths = sum(one.kind is Kind.PATH for page in found for one in page.objects)
            assert paths >= paths_in_pdfium(data), seed
    assert silent < OF_A_BATCH / 2


@pytest.mark.parametrize("seed", range(0, BATCHES * OF_A_BATCH, 15))
def test_no_rule_fails_on_spoilt_files(seed: int) -> None:
    _, data = mutated(seed)
    report = check_bytes(data, f"{seed}.pdf")
    assert "fault of this program" not in (report.reason or "")
    assert not [one for page in report.pages for one in page.findings if one.rule == "rule-failed"]
