"""The demo files are what their maker writes, and the clean sheet keeps the distances a shop asks for."""

from __future__ import annotations

import gzip
import json
from itertools import combinations
from pathlib import Path as FilePath

import pytest
import shapely
from demo import files
from demo_sheet.faults import faulty
from demo_sheet.outline import Path
from demo_sheet.season import MARK_CENTRES, MARK_RADIUS, cards, stickers
from demo_sheet.sheet import Group as SheetGroup
from demo_sheet.sheet import Shape

from preflight.plugins import Plugins
from preflight.rule import Group

DEMO = FilePath(__file__).resolve().parents[2] / "fixtures" / "demo"
WRITTEN = files()


@pytest.mark.parametrize("name", sorted(WRITTEN))
def test_committed_file_is_what_the_maker_writes(name: str) -> None:
    committed, written = (DEMO / name).read_bytes(), WRITTEN[name]
    if name.endswith("z"):  # compression differs between zlib versions, the content must not
        committed, written = gzip.decompress(committed), gzip.decompress(written)
    assert committed == written


def test_demo_folder_holds_nothing_else() -> None:
    found = {path.relative_to(DEMO).as_posix() for path in DEMO.rglob("*") if path.is_file()}
    assert found == set(WRITTEN)


PLANTED = {
    name: [fault["rule"] for fault in json.loads(content)]
    for name, content in WRITTEN.items()
    if name.endswith(".expected.json")
}


@pytest.mark.parametrize("name", PLANTED)
def test_no_rule_has_two_faults_on_a_sheet(name: str) -> None:
    assert sorted(PLANTED[name]) == sorted(set(PLANTED[name]))


def test_expectation_holds_what_the_maker_planted() -> None:
    assert PLANTED["faulty.expected.json"] == [fault.rule for fault in faulty()[1]]


def test_demo_shows_a_fault_for_every_rule_of_a_sheet() -> None:
    """All but those about reading; `step-missing` is shown by the sheet without a cut line.

    What rests on inks and spaces cannot be shown alike in SVG and PDF.
    """
    sheets = set(Group) - {Group.READING, Group.HOUSE}
    of_inks = {"colour-space", "ink-heavy", "overprint-lost"}
    rules = {rule.id for rule in Plugins().rules.values() if rule.group in sheets}
    assert {rule for planted in PLANTED.values() for rule in planted} == rules - {"step-missing"} - of_inks


def region(path: Path) -> shapely.Geometry:
    """The filled region of a path, each cubic as 40 chords."""
    result = shapely.Polygon()
    for contour in path.contours:
        points = []
        for a, b, c, d in contour.cubics():
            for i in range(40):
                t = i / 40
                s = 1 - t
                weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
                points.append(
                    tuple(
                        sum(w * p[axis] for w, p in zip(weights, (a, b, c, d), strict=True))
                        for axis in (0, 1)
                    )
                )
            points.append(d)
        if len(points) > 2:
            result = result.symmetric_difference(shapely.Polygon(points).buffer(0))
    return result


def ink_region(item: Shape | SheetGroup) -> shapely.Geometry:
    """What an item prints; round ends and joins."""
    if isinstance(item, SheetGroup):
        printed = shapely.union_all([ink_region(part) for part in item.items])
        return printed if item.clip is None else printed.intersection(region(item.clip))
    parts = []
    if item.fill is not None:
        parts.append(region(item.path))
    if item.stroke is not None:
        for contour in item.path.contours:
            for four in contour.cubics():
                parts.append(_curve(four).buffer(item.stroke_width / 2))
    return shapely.union_all(parts)


def _curve(four: tuple[tuple[float, float], ...]) -> shapely.LineString:
    points = []
    for i in range(21):
        t = i / 20
        weights = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3)
        points.append(tuple(sum(w * p[axis] for w, p in zip(weights, four, strict=True)) for axis in (0, 1)))
    return shapely.LineString(points)


STICKERS = stickers()
PIECES = {name: region(sticker.cut) for name, sticker in STICKERS.items()}
ART = {name: ink_region(sticker.art) for name, sticker in STICKERS.items()}
CARDS = {card.name: region(card.cut) for card in cards()}


@pytest.mark.parametrize("name", sorted(STICKERS))
def test_art_bleeds_three_millimetres_or_keeps_two_inside(name: str) -> None:
    piece, art = PIECES[name], ART[name]
    if art.crosses(piece.boundary) or not piece.contains(art):
        assert art.contains(piece.buffer(3.0, quad_segs=64))
    else:
        assert art.distance(piece.boundary) >= 2.0


@pytest.mark.parametrize("name", sorted(STICKERS))
def test_sticker_lies_in_one_card_with_room_round_it(name: str) -> None:
    (card,) = [card for card in CARDS.values() if card.contains(PIECES[name])]
    assert PIECES[name].distance(card.boundary) >= 3.0
    assert ART[name].distance(card.boundary) >= 2.0


def test_neighbouring_cuts_keep_three_millimetres_and_no_art_comes_near_another_cut() -> None:
    for a, b in combinations(STICKERS, 2):
        assert PIECES[a].distance(PIECES[b]) >= 3.0, (a, b)
        assert ART[a].distance(PIECES[b]) >= 1.0, (a, b)
        assert ART[b].distance(PIECES[a]) >= 1.0, (a, b)


def test_marks_stand_five_millimetres_clear() -> None:
    heads = [ink_region(shape) for card in cards() for shape in card.art]
    everything = shapely.union_all([*ART.values(), *CARDS.values(), *heads])
    for x, y in MARK_CENTRES:
        assert shapely.Point(x, y).distance(everything) >= MARK_RADIUS + 5.0
