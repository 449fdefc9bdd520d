"""What bounds the work that a drawing asks for: counted, never timed; what is left out is told with its place."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from preflight_rules.contours.contour_crossing import CrossingContours

from preflight.geometry import followed, near_pairs, pathdata, rings
from preflight.geometry.flatten import flatten
from preflight.geometry.outlines import Floats, Outlines
from preflight.geometry.shared_runs import shared_runs
from preflight.geometry.strands import Strands
from preflight.geometry.turning_back import may_turn_back
from preflight.job import Job
from preflight.job.art_clearances import _thinned
from preflight.job.cutting import spacing
from preflight.job.roles import Role
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read
from preflight.rule import Finding

ASLANT = np.pi / 4.0
HAIRPIN = [[0, 0], [10, 0], [10, 0.02], [0, 0.02]]
BEND = [[0, 0], [10, 0], [10, 5], [0, 5]]
LOOP = [[0, 0], [30, 30], [-20, 30], [10, 0]]
OPEN_U = "C900 0 900 200 100 200"


def outlines(paths: list[str]) -> Outlines:
    return pathdata.parse(paths).outlines


def thrown_curves(count: int) -> Outlines:
    places = np.random.default_rng(1).uniform(0, 1000, (count, 4, 2))
    return outlines(
        ["M{:.3f} {:.3f}C{:.3f} {:.3f} {:.3f} {:.3f} {:.3f} {:.3f}".format(*one.ravel()) for one in places]
    )


def job_of(paths: list[str], more: str = "") -> Job:
    drawn = "".join(
        f'<path id="p{row}" d="{data}" fill="none" stroke="#f0f" stroke-width="0.1" {more if row == 0 else ""}/>'
        for row, data in enumerate(paths)
    )
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1000mm" viewBox="0 0 1000 1000">'
        f'<g id="kiss cut">{drawn}</g></svg>'
    )
    (artwork,) = read(text.encode(), "a.svg", Limits(), None)
    return Job(artwork, Profile.default())


def test_what_comes_back_beside_itself_is_known_from_what_only_bends_or_crosses_itself() -> None:
    assert may_turn_back(np.array([HAIRPIN, BEND, LOOP], float), 0.05, ASLANT).tolist() == [
        True,
        False,
        False,
    ]


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=4, max_size=4))
def test_no_curve_that_runs_along_itself_is_passed_over(points: list[tuple[int, int]]) -> None:
    curve = np.array([points], float) / np.array([1.0, 40.0])
    path = "M{} {}C{} {} {} {} {} {}".format(*curve.ravel())
    # All pieces are followed here: far below what is paid for.
    if len(shared_runs(outlines([path]), 0.05, 0.2).first):
        assert may_turn_back(curve, 0.05, ASLANT).all()


def test_large_curves_that_do_not_come_back_are_not_cut_into_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    pieces: list[int] = []

    def counted(drawn: Outlines, tolerance: float) -> Any:
        chains = flatten(drawn, tolerance)
        pieces.append(len(chains.points))
        return chains

    monkeypatch.setattr("preflight.geometry.measured_edges.flatten", counted)
    # Fifty bends of a thousand pieces and more each, far apart.
    bends = [
        f"M100 {300 * row}{OPEN_U.replace('200', str(300 * row + 200)).replace(' 0 ', f' {300 * row} ')}"
        for row in range(300)
    ]
    found = shared_runs(outlines(bends), 0.05, 1.0)
    assert not len(found.unfollowed)
    assert sum(pieces) < 10_000


def test_what_is_followed_is_bounded_and_the_rest_is_named() -> None:
    hairpin = "C9000 {y} 9000 {z} 0 {z}"
    paths = [f"M0 {200 * row}{hairpin.format(y=200 * row, z=200 * row + 0.02)}" for row in range(100)]
    found = shared_runs(outlines(paths), 0.05, 1.0)
    left_out = set(found.unfollowed.tolist())
    assert 0 < len(left_out) < 100
    # Each of the others runs along itself, and is told to do so.
    assert set(found.first.tolist()) == set(range(100)) - left_out


def test_cuts_that_are_not_followed_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    paths = ["M100 100C900 100 900 100.02 100 100.02", "M10 500h20v20h-20z"]

    def told() -> list[str]:
        job = job_of(paths)
        job.meetings.shared_runs(0.05, 1.0)
        return [note.origin.ref for note in job.cuts.notes if note.what == "runs of a cut" and note.origin]

    assert told() == []
    monkeypatch.setattr(followed, "_PIECES", 100)
    assert told() == ["p0"]


def test_contours_that_were_stopped_are_not_looked_from(monkeypatch: pytest.MonkeyPatch) -> None:
    looked: list[int] = []
    found = near_pairs._neighbours

    def counted(boxes: Floats, *more: Any) -> Any:
        for one, other in found(boxes, *more):
            looked.append(len(one))
            yield one, other

    monkeypatch.setattr(near_pairs, "_neighbours", counted)
    strands = Strands.of(thrown_curves(1500))
    limits = near_pairs.near_limits(strands)
    near_pairs.near_segments(strands, 0.05, limits=limits)
    boxes = strands.tree.contour_boxes()
    meet = shapely.STRtree(shapely.box(*boxes.T)).query(shapely.box(*boxes.T)).shape[1] // 2
    assert limits.stopped.any()
    assert sum(looked) < 0.75 * meet


def test_lines_that_cross_are_not_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    measured: list[int] = []
    within_reach = spacing.within_reach

    def counted(first: Any, second: Any, reach: float) -> Any:
        measured.append(len(first))
        return within_reach(first, second, reach)

    monkeypatch.setattr(spacing, "within_reach", counted)
    arcs = [f"M100 {100 + 3 * row}C400 900 600 900 900 {100 + 3 * row}" for row in range(30)]
    across = [f"M{100 + 3 * row} 900C300 100 600 100 {800 + 3 * row} 900" for row in range(30)]
    found = spacing.spacings(job_of([*arcs, *across]), 2.0)
    assert found
    # Of 1,770 pairs those 900 that lie across each other are out before.
    assert sum(measured) <= 870 + 30


def test_clips_within_clips_are_joined_once_each(monkeypatch: pytest.MonkeyPatch) -> None:
    joins: list[int] = []
    shared = rings._shared

    def counted(*given: Any) -> Any:
        joins.append(1)
        return shared(*given)

    discs = [
        f"M{row} 400C{row} 600 200 800 400 800C800 800 800 0 400 0C100 0 {row} 200 {row} 400z"
        for row in range(60)
    ]
    stacks = [outlines(discs[: depth + 1]) for depth in range(60)]
    rules = [["nonzero"] * (depth + 1) for depth in range(60)]
    apart = [rings.common_regions([own], [rule], 0.01)[0] for own, rule in zip(stacks, rules, strict=True)]
    monkeypatch.setattr(rings, "_shared", counted)
    together = rings.common_regions(stacks, rules, 0.01)
    assert len(joins) == 59
    assert [one.equals(other) for one, other in zip(together, apart, strict=True)] == [True] * 60


def test_rules_of_contours_look_at_no_page_without_a_cut() -> None:
    from preflight_rules.contours import rules

    assert {rule.needs for rule in rules()} == {Role.CUT}


def crossing_lines(count: int) -> list[str]:
    places = range(100, 100 + 5 * count, 5)
    return [line for at in places for line in (f"M{at} 50V950", f"M50 {at}H950")]


def crossings_of(paths: list[str], more: str = "") -> list[Finding]:
    return list(CrossingContours().check(job_of(paths, more)))


def test_lines_that_cross_too_often_are_told_as_one_tangle(monkeypatch: pytest.MonkeyPatch) -> None:
    assert len(crossings_of(crossing_lines(20))) == 400
    monkeypatch.setattr(near_pairs, "_PURSE", 100.0)
    (whole,) = crossings_of(crossing_lines(20))
    assert whole.measured is not None
    assert len(whole.objects) == 40
    assert whole.measured.value == len(whole.points_mm) > 100
    assert "or more" in whole.message
    # With another line it is another fault: a baseline holds no more than was told.
    (larger,) = crossings_of([*crossing_lines(20), "M60 60L940 940"])
    assert larger.subject != whole.subject
    # A waiver on one line waives what that line does, and nothing else.
    apart = crossings_of(crossing_lines(20), 'data-preflight-waive="contour-crossing: a gauge"')
    assert [len(one.objects) for one in apart].count(39) == 1
    assert {one.objects[-1].ref for one in apart if len(one.objects) == 2} == {"p0"}


def test_what_is_stopped_where_it_crosses_others_is_not_looked_from_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[set[int]] = []
    found = near_pairs._neighbours

    def counted(boxes: Floats, usable: Any, *more: Any) -> Any:
        asked.append(set(usable.tolist()))
        yield from found(boxes, usable, *more)

    monkeypatch.setattr(near_pairs, "_neighbours", counted)
    monkeypatch.setattr(near_pairs, "_PURSE", 100.0)
    job = job_of([*crossing_lines(20), "M960 970h30", "M970 960v30"])
    job.meetings.shared_runs(0.05, 1.0)
    stopped = set(np.flatnonzero(job.meetings._crossings.stopped).tolist())
    assert stopped
    assert [len(one) for one in asked] == [42, 42 - len(stopped)]
    told = {note.origin.ref for note in job.cuts.notes if note.what == "crossings of a cut" and note.origin}
    assert {f"p{one}" for one in stopped} <= told


def test_what_many_teeth_leave_bare_is_shown_by_few_lines() -> None:
    teeth = [shapely.LineString([(x, 0), (x, 1 + (x == 50))]) for x in np.arange(0, 100, 0.01).tolist()]
    few = _thinned(np.array(teeth), 0.75)
    assert 100 < len(few) < 150
    assert shapely.distance(shapely.union_all(few), shapely.MultiPoint([(x, 0.5) for x in range(100)])) < 0.75
    assert max(shapely.length(few)) == 2
    assert len(_thinned(np.array(teeth[:200]), 0.75)) == 200
