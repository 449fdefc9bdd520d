"""Findings matched with those held before: by place, then by fingerprint; each of those held once."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.fingerprints import fingerprinted
from preflight.known.matching import held, matched
from preflight.rule import Finding, Level, ObjectReference

Box = tuple[float, float, float, float]


def found(
    *boxes: Box | None, rule: str = "contour-open", layer: str = "Kiss cut", **more: object
) -> list[Finding]:
    objects = (ObjectReference("a", layer, "path"),)
    findings = [
        Finding(rule=rule, level=Level.ERROR, message="", hint="", bounds_mm=box, objects=objects, **more)  # type: ignore[arg-type]
        for box in boxes
    ]
    return list(fingerprinted(findings))


def square(x: float, y: float = 10.0, side: float = 5.0) -> Box:
    return (x, y, x + side, y + side)


def pairs(now: list[Finding], before: list[Finding]) -> dict[int, int]:
    return matched(now, [held(one, "a.svg") for one in before])


@pytest.mark.parametrize(
    ("moved", "known"), [(0.0, True), (0.45, True), (-0.45, True), (0.6, False), (40.0, False)]
)
def test_a_place_may_move_by_half_a_millimetre(moved: float, known: bool) -> None:
    assert bool(pairs(found(square(20.3 + moved)), found(square(20.3)))) is known


def test_each_side_counts_not_the_middle_alone() -> None:
    # The middles are the same, and with them the fingerprints.
    larger = (19.0, 9.0, 26.0, 16.0)
    assert pairs(found(larger, square(20.0)), found(square(20.0))) == {1: 0}
    assert pairs(found(larger), found(square(20.0))) == {0: 0}


def test_each_held_finding_is_used_once_and_the_nearest_first() -> None:
    assert pairs(found(square(20.60), square(20.40), square(20.20)), found(square(20.30))) in ({1: 0}, {2: 0})
    assert len(pairs(found(*[square(20.0)] * 5), found(*[square(20.0)] * 3))) == 3


def test_one_mended_in_the_middle_of_many_alike_leaves_the_others_known() -> None:
    assert len(pairs(found(*[square(20.0)] * 4), found(*[square(20.0)] * 5))) == 4


def test_rule_and_subject_must_be_the_same_and_layers_need_not() -> None:
    nudged = square(20.35)
    assert not pairs(found(nudged, rule="corner-tight"), found(square(20.3)))
    assert pairs(found(nudged, layer="Edge"), found(square(20.3))) == {0: 0}
    assert not pairs(found(nudged, subject="Jam Red"), found(square(20.3), subject="Sea Blue"))
    assert pairs(found(square(90.0), subject="Jam Red"), found(square(20.3), subject="Jam Red")) == {0: 0}


def test_the_same_layers_go_first() -> None:
    before = [*found(square(20.31), layer="Edge"), *found(square(20.31), layer="Kiss cut")]
    before = [msgspec.structs.replace(one, fingerprint=str(index)) for index, one in enumerate(before)]
    assert pairs(found(square(20.34), layer="Kiss cut"), before) == {0: 1}


def test_without_a_place_the_layers_tell() -> None:
    assert pairs(found(None), found(None)) == {0: 0}
    assert not pairs(found(None, layer="Edge"), found(None))
    assert not pairs(found(None), found(square(20.0)))


def test_a_page_put_in_shifts_the_others() -> None:
    before = found(square(20.0), page=1) + found(square(20.0), page=2)
    after = found(square(20.0), page=2) + found(square(20.0), page=3)
    assert sorted(pairs(after, before).items()) == [(0, 1), (1, 0)]


def test_what_does_not_count_and_what_failed_are_passed_over() -> None:
    before = found(square(20.0))
    assert not pairs(found(square(20.0), waived="a slit"), before)
    assert not pairs(found(None, rule="rule-failed"), found(None, rule="rule-failed"))


COORDINATE = st.floats(0.0, 300.0)


@settings(deadline=None)
@given(
    st.lists(st.tuples(COORDINATE, COORDINATE, st.floats(0.0, 40.0)), max_size=30),
    st.lists(st.tuples(*[st.floats(-0.2, 0.2)] * 4), min_size=30, max_size=30),
    st.randoms(use_true_random=False),
)
def test_a_sheet_saved_again_is_known_in_whatever_order_it_is_told(
    squares: list[tuple[float, float, float]], shifts: list[tuple[float, ...]], chance: object
) -> None:
    boxes = [square(x, y, side) for x, y, side in squares]
    now = [
        tuple(a + b for a, b in zip(box, shift, strict=True))
        for box, shift in zip(boxes, shifts, strict=False)
    ]
    # Places nearer to each other than they may move can be taken for one another, and one then be left without.
    apart = [
        max(abs(p - q) for p, q in zip(a, b, strict=True)) for i, a in enumerate(boxes) for b in boxes[:i]
    ]
    chance.shuffle(now)  # type: ignore[attr-defined]
    if all(distance > 2.0 for distance in apart):
        assert len(pairs(found(*now), found(*boxes))) == len(boxes)  # type: ignore[arg-type]
    used = list(pairs(found(*now), found(*boxes)).values())  # type: ignore[arg-type]
    assert len(used) == len(set(used))


def test_thousands_alike_that_all_moved_over_the_edge_of_a_cell_are_matched() -> None:
    before = found(*[square(17.8325 - 0.01)] * 4000)
    assert len(pairs(found(*[square(17.8325 + 0.01)] * 4000), before)) == 4000


def test_held_places_are_coarse_and_never_a_negative_zero(tmp_path: Path) -> None:
    (one,) = found((-0.04, 1.26, 3.0, 4.0))
    assert str(held(one, "a.svg").bounds_mm) == "(0.0, 1.3, 3.0, 4.0)"
