"""Content made to cost much: it ends within the time it is given, and large forms are not kept as instructions."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from drawn_pages import drawn
from small_pdfs import stream, written

from preflight.artwork.model import Artwork
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.pdf.content import interpreter
from preflight.readers.pdf.read import read

FORM = "/Type /XObject /Subtype /Form /BBox [0 0 200 100]"


def long_expression(limits: Limits) -> Artwork:
    """A visibility expression of ten thousand terms, stated where it has no number and is worked out each time."""
    expression = f"/VE [/And {'5 0 R ' * 9990}]"
    return drawn(
        "/OC /L BDC 0 0 9 9 re f EMC " * 9_000,
        resources=f"/Properties << /L << /Type /OCMD {expression} >> >>",
        others={5: "<< /Type /OCG /Name (Tea) >>"},
        catalog="/OCProperties << /OCGs [5 0 R] /D << >> >>",
        limits=limits,
    )


def long_dashes(limits: Limits) -> Artwork:
    """A dash pattern of a hundred thousand lengths, set over and over."""
    return drawn(
        "/G gs " * 40_000,
        resources="/ExtGState << /G 5 0 R >>",
        others={5: f"<< /D [[{'1 ' * 100_000}] 0] >>"},
        limits=limits,
    )


def many_pictures(limits: Limits) -> Artwork:
    """Inline images by the hundred thousand: what stands for them counts towards a stretch of content."""
    return drawn(b"BI /W 1 /H 1 /BPC 8 /CS /G ID a EI " * 300_000, limits=limits)


@pytest.mark.parametrize("costly", [long_expression, long_dashes, many_pictures])
def test_the_clock_is_looked_at_in_between(costly: Callable[[Limits], Artwork]) -> None:
    # Each takes from half a minute to hours to be drawn to its end.
    with pytest.raises(Unreadable, match="longer than the limit"):
        costly(Limits(seconds=1, operators=10**9))


def test_forms_draw_the_same_whether_or_not_they_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    def read() -> Artwork:
        return drawn(
            "/F Do 2 0 0 2 5 5 cm /F Do",
            resources="/XObject << /F 5 0 R /H 6 0 R >>",
            others={
                5: stream("q 0 0 9 9 re W n /H Do Q 1 0 0 rg 3 3 m 9 9 l 12 1 l h B", FORM),
                6: stream("1 1 5 5 re f newop", FORM),
            },
        )

    kept = read()
    monkeypatch.setattr(interpreter, "_MOST_KEPT", 0)
    anew = read()
    assert anew.objects == kept.objects
    assert anew.notes == kept.notes
    assert (anew.outlines.segments == kept.outlines.segments).all()
    assert len(kept.objects) == 4


def test_a_usage_rule_of_many_layers_is_looked_through_once() -> None:
    # Looked through once for each layer it would take minutes; each layer still heeds the rule.
    groups = {6 + index: f"<< /Type /OCG /Name (a{index}) >>" for index in range(10_000)}
    groups[6] = "<< /Type /OCG /Name (a0) /Usage << /Print << /PrintState /OFF >> >> >>"
    listed = " ".join(f"{number} 0 R" for number in groups)
    page = drawn(
        "0 0 9 9 re f",
        others=groups,
        catalog=f"/OCProperties << /OCGs [{listed}] "
        f"/D << /AS [<< /Event /Print /Category [/Print] /OCGs [{listed}] >>] >> >>",
        limits=Limits(seconds=20),
    )
    assert len(page.layers) == 10_000
    assert [layer.name for layer in page.layers if not layer.printing] == ["a0"]


ENDLESS = {
    "operators": "q Q " * 2_000,
    "texts": "(a) " * 4_000,
    "comments": "%\n" * 4_000,
    "arrays": "[0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0] 0 d " * 300,
    "letters": f"BT /T 9 Tf ({'a' * 8_000}) Tj ET",
    "forms": "/F Do " * 200,
    "pictures": "BI /W 1 /H 1 /BPC 8 /CS /G ID a EI " * 100,
    "faults": "1 re " * 2_000,
    "layers": f"/OC /L BDC 0 0 9 9 re f EMC {' ' * 9}" * 30,
}


@pytest.mark.parametrize("kind", ENDLESS)
def test_work_is_counted_not_timed(kind: str) -> None:
    def of(operators: int) -> Artwork:
        return drawn(
            ENDLESS[kind],
            resources="/XObject << /F 5 0 R >> /Font << /T << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >> "
            f"/Properties << /L << /Type /OCMD /VE [/And {'6 0 R ' * 100}] >> >>",
            others={5: stream("0 0 5 5 re f", FORM), 6: "<< /Type /OCG /Name (Tea) >>"},
            catalog="/OCProperties << /OCGs [6 0 R] /D << >> >>",
            limits=Limits(operators=operators),
        )

    with pytest.raises(Unreadable, match="limit of 3,000 operators"):
        of(3_000)
    assert of(100_000)


def test_the_work_of_all_pages_counts_together() -> None:
    kids = {
        10 + index: "<< /Type /Page /Parent 2 0 R /Contents 4 0 R /MediaBox [0 0 9 9] >>"
        for index in range(9)
    }
    document = written(
        {
            1: "<< /Type /Catalog /Pages 2 0 R >>",
            2: f"<< /Type /Pages /Kids [{' '.join(f'{number} 0 R' for number in kids)}] /Count 9 >>",
            4: stream("0 0 5 5 re f " * 100),
            **kids,
        }
    )
    assert len(read(document, "nine.pdf", Limits(operators=5_000))) == 9
    with pytest.raises(Unreadable, match="operators"):
        read(document, "nine.pdf", Limits(operators=2_000))


def test_a_word_beyond_all_reason_is_cut_short_with_a_note() -> None:
    page = drawn(b"0 0 5 5 re f " + b"1" * 1_000_000 + b" 0 m 5 5 l S 9 9 5 5 re f")
    assert "is longer than any could be" in " ".join(note.message for note in page.notes)
    assert [one.broken is None for one in page.objects] == [True, False, True]


def test_rows_are_refused_before_they_are_kept() -> None:
    with pytest.raises(Unreadable, match="limit of 1,000"):
        drawn("0 0 1 1 re " * 400 + "n", limits=Limits(path_segments=1_000))


def test_a_path_that_crosses_itself_beyond_all_reason_is_read_like_any_other() -> None:
    knot = "0 0 m " + "".join(f"{i * 7919 % 200} {i * 104729 % 100} l " for i in range(8_000)) + "h "
    filled = drawn(knot + "f 0 0 50 50 re f")
    assert [one.broken for one in filled.objects] == [None, None]
    assert filled.outlines.segment_counts.tolist() == [8_001, 4]
    (clipped,) = drawn(knot + "W n 0 0 50 50 re f").objects
    assert clipped.clip is not None


def test_the_end_of_pictures_is_not_sought_again_and_again() -> None:
    # Each might be looked for through all that follows: fifty thousand pictures would take hours.
    images = (b"BI /W 9 /F /RL ID " + b" EI \xff" * 40) * 50_000
    with pytest.raises(Unreadable, match="operators"):
        drawn(images, limits=Limits(seconds=120))
