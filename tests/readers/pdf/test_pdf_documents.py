"""Opening PDF: sniffing, repair, passwords, broken lists of pages, limits; each with its answer."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pikepdf
import pytest
from small_pdfs import one_page, stream, written

from preflight.artwork.model import Artwork, NoteKind
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read
from preflight.readers.pdf.reader import PdfReader

SOUND = one_page("10 10 20 20 re f")


def pages(data: bytes, limits: Limits | None = None) -> tuple[Artwork, ...]:
    return read(data, "job.pdf", limits or Limits())


def said(artwork: Artwork) -> list[tuple[NoteKind, str]]:
    return [(note.kind, note.what) for note in artwork.notes]


def test_content_tells_the_format_not_the_suffix() -> None:
    reader = PdfReader()
    assert reader.sniff(SOUND)
    assert reader.sniff(b"\x00" * 900 + SOUND)  # ISO 32000-1, Annex H.3: within the first 1024 bytes
    assert not reader.sniff(b"\x00" * 1100 + SOUND)
    assert not reader.sniff(b"%!PS-Adobe-3.0 EPSF-3.0")
    assert not reader.sniff(b"<svg/>")
    assert not reader.sniff(b"")


def test_a_sound_file_has_nothing_to_say_about_itself() -> None:
    assert said(pages(SOUND)[0]) == []


def test_what_stands_before_the_header_is_skipped_and_said() -> None:
    artwork = pages(b"From the harbour office\n" + SOUND)[0]
    assert (NoteKind.FAULT, "damaged file") in said(artwork)
    assert artwork.page.width == pytest.approx(200 * 25.4 / 72)


@pytest.mark.parametrize(
    "data",
    [
        SOUND.replace(b"startxref", b"startxxxx"),
        SOUND[: SOUND.index(b"xref")],
        SOUND.replace(b"0000000015", b"0000000099"),
    ],
)
def test_a_lost_table_of_objects_is_made_anew_and_said(data: bytes) -> None:
    artwork = pages(data)[0]
    assert (NoteKind.FAULT, "damaged file") in said(artwork)
    assert artwork.page.width == pytest.approx(200 * 25.4 / 72)


def test_notes_on_repairs_are_the_same_on_every_run() -> None:
    data = SOUND.replace(b"startxref", b"startxxxx")
    first, second = pages(data)[0].notes, pages(data)[0].notes
    assert first == second
    assert not any("0x" in note.message for note in first)


@pytest.mark.parametrize(
    ("data", "mend"),
    [
        (b"%!PS-Adobe-3.0\n%%Creator: (a drawing program)\n", "PDF compatibility"),
        (b"\xc5\xd0\xd3\xc6" + b"\x00" * 26 + b"%!PS-Adobe", "PDF compatibility"),
        (b"\x00" * 4000, "PDF compatibility"),
        (b"%PDF-1.7\n", "again"),
        (SOUND[:60], "again"),
        (b"%PDF-1.4\n" + b"1 0 obj\n" * 400, "again"),
    ],
)
def test_no_pdf_or_one_beyond_repair_is_unreadable_with_the_mend(data: bytes, mend: str) -> None:
    with pytest.raises(Unreadable) as refusal:
        read(data, "sign.ai", Limits())
    assert mend in refusal.value.mend
    assert refusal.value.what


def locked(user: str) -> bytes:
    pdf = pikepdf.open(io.BytesIO(SOUND))
    out = io.BytesIO()
    pdf.save(out, encryption=pikepdf.Encryption(owner="harbour master", user=user, R=6))
    return out.getvalue()


def test_an_empty_password_opens_the_file_and_it_is_said() -> None:
    assert (NoteKind.ASSUMED, "encryption") in said(pages(locked(""))[0])


def test_another_password_locks_it() -> None:
    with pytest.raises(Unreadable, match="password") as refusal:
        pages(locked("gangway"))
    assert refusal.value.mend


def tree(nodes: dict[int, str], catalog: str = "/Pages 2 0 R") -> bytes:
    leaf = "<< /Type /Page /MediaBox [0 0 %d 50] /Contents 9 0 R >>"
    return written(
        {
            1: f"<< /Type /Catalog {catalog} >>",
            5: leaf % 100,
            6: leaf % 200,
            7: leaf % 300,
            9: stream("n"),
            **nodes,
        }
    )


def widths(data: bytes, limits: Limits | None = None) -> list[float]:
    return [round(one.page.width * 72 / 25.4, 6) for one in pages(data, limits)]


def test_pages_come_in_the_order_of_the_tree() -> None:
    data = tree(
        {
            2: "<< /Type /Pages /Kids [7 0 R 3 0 R 6 0 R] /Count 3 >>",
            3: "<< /Type /Pages /Kids [5 0 R] /Parent 2 0 R /Count 1 >>",
        }
    )
    assert widths(data) == [300, 100, 200]
    assert [one.page.number for one in pages(data)] == [1, 2, 3]


@pytest.mark.parametrize(
    "nodes",
    [
        {2: "<< /Type /Pages /Kids [5 0 R 2 0 R] /Count 2 >>"},
        {2: "<< /Type /Pages /Kids [5 0 R 3 0 R] >>", 3: "<< /Type /Pages /Kids [2 0 R 3 0 R] >>"},
        {2: "<< /Type /Pages /Kids [null 5 0 R 99 0 R (text)] >>"},
        {2: "<< /Type /Pages /Kids [3 0 R 5 0 R] >>", 3: "<< /Type /Pages /Count 4 >>"},
        {2: "<< /Kids [5 0 R 3 0 R] >>", 3: "<< /Type /Pages /Kids 7 >>"},
    ],
)
def test_a_broken_branch_of_the_tree_is_left_out_and_said(nodes: dict[int, str]) -> None:
    data = tree(nodes)
    assert widths(data) == [100]
    assert (NoteKind.FAULT, "page tree") in said(pages(data)[0])


def test_loose_pages_are_found_where_the_tree_leads_nowhere() -> None:
    data = tree({2: "<< /Type /Pages /Kids [2 0 R] >>"})
    assert sorted(widths(data)) == [100, 200, 300]
    assert (NoteKind.FAULT, "page tree") in said(pages(data)[0])


@pytest.mark.parametrize("catalog", ["", "/Pages null", "/Pages (none)"])
def test_without_any_tree_the_file_is_unreadable(catalog: str) -> None:
    with pytest.raises(Unreadable, match="page tree"):
        pages(tree({}, catalog))


def test_a_page_that_does_not_say_so_is_read_and_that_is_said() -> None:
    data = SOUND.replace(b"/Type /Page ", b"/Type /Leaf ")
    assert widths(data) == [200]
    assert (NoteKind.FAULT, "page tree") in said(pages(data)[0])


def test_no_page_at_all_is_unreadable() -> None:
    data = written({1: "<< /Type /Catalog /Pages 2 0 R >>", 2: "<< /Type /Pages /Kids [] /Count 0 >>"})
    with pytest.raises(Unreadable, match="no page"):
        pages(data)


def test_more_pages_than_the_limit_are_refused() -> None:
    kids = "<< /Type /Pages /Kids [%s] /Count %d >>"
    assert len(pages(tree({2: kids % ("5 0 R " * 20, 20)}), Limits(pages=20))) == 20
    with pytest.raises(Unreadable, match="20 pages"):
        pages(tree({2: kids % ("5 0 R " * 21, 21)}), Limits(pages=20))


def test_a_deep_tree_is_walked() -> None:
    nodes = {number: f"<< /Type /Pages /Kids [{number + 1} 0 R] >>" for number in range(10, 3000)}
    assert widths(
        tree(
            {2: "<< /Type /Pages /Kids [10 0 R] >>", **nodes, 3000: "<< /Type /Page /MediaBox [0 0 70 50] >>"}
        )
    ) == [70]


@pytest.mark.parametrize(
    ("catalog", "what"),
    [
        ("/Collection << >>", "portfolio"),
        ("/OpenAction << /S /JavaScript /JS (app.alert) >>", "script"),
        ("/Names << /JavaScript << /Names [] >> >>", "script"),
        ("/AcroForm << /XFA (form) /Fields [] >>", "form"),
    ],
)
def test_what_a_document_holds_beside_its_pages_is_said(catalog: str, what: str) -> None:
    assert (NoteKind.NOT_MODELLED, what) in said(pages(one_page(catalog=catalog))[0])


def test_what_is_said_of_the_document_stands_on_its_first_page_only() -> None:
    data = tree({2: "<< /Type /Pages /Kids [5 0 R 6 0 R] /Count 2 >>"}, "/Pages 2 0 R /Collection << >>")
    first, second = pages(data)
    assert (NoteKind.NOT_MODELLED, "portfolio") in said(first)
    assert (NoteKind.NOT_MODELLED, "portfolio") not in said(second)


def test_reading_takes_no_longer_than_the_limit() -> None:
    with pytest.raises(Unreadable, match="seconds"):
        pages(SOUND, Limits(seconds=0.0))


def test_qpdf_says_nothing_on_its_own(tmp_path: Path) -> None:
    data = SOUND.replace(b"/Kids [3 0 R]", b"/Kids [3 Q R]").replace(b"startxref", b"startxxxx")
    path = tmp_path / "kids.pdf"
    path.write_bytes(data)
    words = [sys.executable, "-m", "preflight", "check", str(path), "--format", "json"]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60, check=False)
    assert "tree includes" not in done.stderr
    assert json.loads(done.stdout)["files"][0]["status"] == "unreadable"
