"""What small art lies on: paint order, see-through veils, edges, gradients, and too much of it."""

import random

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


COLUMNS, ROWS = 40, 24
LOOKS = {"dark": 'fill="#0b3550"', "light": 'fill="#ffd9e8"', "through": 'fill="#ffd9e8" opacity="0.2"'}


@pytest.mark.parametrize("as_line", [False, True])
@pytest.mark.parametrize("seed", range(30))
def test_it_is_reversed_where_the_sum_by_cells_says_so(seed: int, as_line: bool) -> None:
    dice = random.Random(seed)  # noqa: S311 -- the same each time
    fields = []
    for _ in range(dice.randint(1, 12)):
        x, y = dice.randrange(COLUMNS - 2), dice.randrange(ROWS - 2)
        width, height = dice.randint(2, COLUMNS - x), dice.randint(2, ROWS - y)
        fields.append((x, y, x + width, y + height, dice.choice(list(LOOKS))))
    body = "".join(
        f'<rect x="{x0}" y="{y0}" width="{x1 - x0}" height="{y1 - y0}" {LOOKS[look]}/>'
        for x0, y0, x1, y1, look in fields
    )
    x, y, length, height = (
        dice.randrange(10),
        dice.randrange(ROWS - 4),
        dice.randint(5, 30),
        dice.randint(1, 4),
    )
    cells = [(x + column, y + row) for column in range(length) for row in range(1 if as_line else height)]
    dark = []
    for column, row in cells:
        over = [look for x0, y0, x1, y1, look in fields if x0 <= column < x1 and y0 <= row < y1]
        hiding = [look for look in over if look != "through"]
        if hiding and hiding[-1] == "dark":
            dark.append((column, row))
    line = shapely.LineString([(x, y + 0.5), (x + length, y + 0.5)])
    found = asked(body, line if as_line else shapely.box(x, y, x + length, y + height), width=1e-6)
    # A millimetre of a line, half of an area; both are not told of what comes to just that.
    least = 1 if as_line else len(cells) / 2
    if len(dark) != least:
        assert (found is not None) is (len(dark) > least)
    if found is not None:
        columns = [column for column, _ in dark]
        assert found.box[0] == pytest.approx(min(columns), abs=0.03)
        assert found.box[2] == pytest.approx(max(columns) + 1, abs=0.03)
