"""What small art lies on: paint order, see-through veils, edges, gradients, and too much of it."""

import pytest
import shapely

from preflight.artwork import Color, Paint, PaintKind
from preflight.job import Job
from preflight.job.printing import grounds as grounds_module
from preflight.job.printing.grounds import Reversal, Small
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read

WHITE = Paint(PaintKind.COLOR, Color((1.0, 1.0, 1.0)))
PINK = Paint(PaintKind.COLOR, Color((0.93, 0.62, 0.75)))
BOX = shapely.box(20, 18, 24, 20)
NAVY = '<rect x="10" y="10" width="40" height="20" fill="#0b3550"/>'


def job(body: str) -> Job:
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">{body}</svg>'
    )
    return Job(read(text.encode(), "a.svg", Limits(), None)[0], Profile.default())


def asked(body: str, region: object = BOX, paint: Paint = WHITE, width: float = 0.0) -> Reversal | None:
    one = job(body)
    small = Small(len(one.artwork.objects), region, paint, 1.0, width)
    return one.grounds.reversals([small], 25.0, 1.0)[0]


@pytest.mark.parametrize(
    ("body", "paint", "is_reversed"),
    [
        ("", WHITE, False),
        (NAVY, WHITE, True),
        (NAVY, PINK, True),
        (NAVY + '<rect x="18" y="15" width="9" height="9" fill="#ffd9e8"/>', WHITE, False),
        # A veil at a fifth of its strength does not hide the sea.
        (NAVY + '<rect x="18" y="15" width="9" height="9" fill="#ffd9e8" opacity="0.2"/>', WHITE, True),
        # Black at a fifth of its strength is a light grey on paper.
        ('<rect x="10" y="10" width="40" height="20" opacity="0.2"/>', WHITE, False),
        ('<rect x="10" y="10" width="40" height="20" opacity="0.8"/>', WHITE, True),
        # A gradient is no lighter than its lightest stop.
        (
            '<linearGradient id="g"><stop stop-color="#0b3550"/><stop offset="1" stop-color="#103a10"/></linearGradient>'
            '<rect x="10" y="10" width="40" height="20" fill="url(#g)"/>',
            PINK,
            True,
        ),
        (
            '<linearGradient id="g"><stop stop-color="#0b3550"/><stop offset="1" stop-color="#ffd9e8"/></linearGradient>'
            '<rect x="10" y="10" width="40" height="20" fill="url(#g)"/>',
            PINK,
            False,
        ),
        # A third of it on the sea, and all of it on a veil beneath that.
        (
            '<rect x="10" y="10" width="40" height="20" fill="#ffd9e8" opacity="0.2"/>'
            '<rect x="10" y="10" width="11.33" height="20" fill="#0b3550"/>',
            WHITE,
            False,
        ),
        # A third of it, and two thirds.
        ('<rect x="10" y="10" width="11.33" height="20" fill="#0b3550"/>', WHITE, False),
        ('<rect x="10" y="10" width="12.67" height="20" fill="#0b3550"/>', WHITE, True),
    ],
)
def test_light_on_dark(body: str, paint: Paint, is_reversed: bool) -> None:
    assert (asked(body, paint=paint) is not None) is is_reversed


def test_what_is_painted_later_is_no_ground() -> None:
    one = job(NAVY)
    assert one.grounds.reversals([Small(0, BOX, WHITE, 1.0)], 25.0)[0] is None


def test_a_line_is_reversed_where_both_its_sides_lie_on_ink() -> None:
    edge = shapely.LineString([(10, 10), (50, 10), (50, 30)])
    assert asked(NAVY, edge, width=0.2) is None
    inside = shapely.LineString([(10, 10.2), (49, 10.2)])
    assert asked(NAVY, inside, width=0.2) is not None
    across = shapely.LineString([(0, 20), (60, 20)])
    found = asked(NAVY, across, width=0.2)
    assert found is not None
    assert found.box == pytest.approx((10.1, 20, 49.9, 20))
    # A millimetre on ink is enough, less is not.
    assert asked(NAVY, shapely.LineString([(0, 20), (11.2, 20)]), width=0.2) is not None
    assert asked(NAVY, shapely.LineString([(0, 20), (11.0, 20)]), width=0.2) is None


def test_art_that_abuts_is_one_ground() -> None:
    halves = "".join(
        f'<rect x="{x}" y="10" width="12" height="20" fill="{fill}"/>'
        for x, fill in ((10, "#0b3550"), (22, "#3a1010"))
    )
    found = asked(halves)
    assert found is not None
    assert found.box == pytest.approx((20, 18, 24, 20))


def test_what_is_too_much_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(grounds_module, "WORK", 3)
    one = job(NAVY * 4 + '<rect x="20" y="18" width="4" height="2" fill="#fff"/>')
    assert one.grounds.reversals([Small(4, BOX, WHITE, 1.0)] * 2, 25.0) == [None, None]
    assert [note.what for note in one.notes] == ["reversed"]
