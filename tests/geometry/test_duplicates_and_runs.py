"""Duplicates by Hausdorff distance, shared runs: closed forms and near misses."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from contour_shapes import circle, contour, moved, polygon, rectangle, reversed_contour, rolled, together
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry import coincidence
from preflight.geometry.coincidence import duplicates, shared_runs
from preflight.geometry.outlines import Outlines


def test_concentric_circles_are_their_radii_apart():
    # Closed form: concentric circles of radius 2 and 3 have Hausdorff distance 1.
    for pieces in (4, 7):
        found = duplicates(together(circle(0, 0, 2), circle(0, 0, 3, pieces)), 1.01)
        np.testing.assert_allclose(found.distance, [1.0], atol=0.002)
        assert len(duplicates(together(circle(0, 0, 2), circle(0, 0, 3, pieces)), 0.99).first) == 0


def test_square_and_its_inset_are_a_diagonal_apart():
    # Closed form: square 10 against its mitred inset by 1: √2.
    found = duplicates(together(rectangle(0, 0, 10, 10), rectangle(1, 1, 9, 9)), 1.5)
    np.testing.assert_allclose(found.distance, [2**0.5], atol=0.001)


def test_hausdorff_of_the_shapely_manual():
    # https://shapely.readthedocs.io/en/stable/reference/shapely.hausdorff_distance.html:
    # 14.14 over nodes only, 70.0 with densify = 0.5, 74.56 with densify = 0.001.
    one = polygon([(130, 0), (0, 0), (0, 150)], closed=False)
    other = polygon([(10, 10), (10, 150), (130, 10)], closed=False)
    found = duplicates(together(one, other), 80.0)
    truth = shapely.hausdorff_distance(
        shapely.LineString([(130, 0), (0, 0), (0, 150)]),
        shapely.LineString([(10, 10), (10, 150), (130, 10)]),
        densify=0.0002,
    )
    np.testing.assert_allclose(found.distance, [truth], atol=0.02)


@pytest.mark.parametrize("shift", [0.0, 0.03, 0.049])
def test_start_direction_and_nodes_play_no_part(shift):
    base = circle(10, 20, 5)
    for other in (circle(10 + shift, 20, 5, 8), moved(reversed_contour(rolled(base, 1)), 0, (shift, 0))):
        found = duplicates(together(base, other), 0.05)
        assert found.second.tolist() == [1]
        np.testing.assert_allclose(found.distance, [shift], atol=0.0025)


def test_near_miss():
    assert len(duplicates(together(circle(0, 0, 5), circle(0.052, 0, 5)), 0.05).first) == 0
    notch = polygon([(0, 0), (5, 0), (5, 0.2), (5.1, 0.2), (5.1, 0), (10, 0), (10, 10), (0, 10)])
    assert len(duplicates(together(rectangle(0, 0, 10, 10), notch), 0.05).first) == 0


def test_copies_give_one_row_less():
    many = together(circle(50, 0, 5), *[circle(0, 0, 5)] * 4000, circle(0, 0, 5, 6))
    found = duplicates(many, 0.05)
    assert len(found.first) == 4000
    assert set(found.first) == {1}
    assert sorted(found.second) == list(range(2, 4002))


@pytest.mark.parametrize(
    ("shifts", "pairs"),
    [
        ((0.0, 0.04, 0.08), [(0, 1), (1, 2)]),  # each lies on the next, the ends do not
        ((0.0, 0.08, 0.04), [(0, 2), (1, 2)]),
        ((0.0, 0.04, 0.04, 0.12), [(0, 1), (0, 2)]),
        ((0.0, 0.04, 0.08, 0.5, 0.54), [(0, 1), (1, 2), (3, 4)]),
    ],
)
def test_a_chain_of_near_copies_hangs_together(shifts, pairs):
    found = duplicates(together(*[circle(shift, 0, 5, 4 + k) for k, shift in enumerate(shifts)]), 0.05)
    assert list(zip(found.first.tolist(), found.second.tolist(), strict=True)) == pairs


def test_many_near_copies_with_nodes_elsewhere():
    chance = np.random.default_rng(7)
    shifts = chance.uniform(-0.01, 0.01, (60, 2))
    copies = [moved(circle(0, 0, 9, 4 + k % 5, turned=k), 0.0, shift) for k, shift in enumerate(shifts)]
    found = duplicates(together(*copies), 0.05)
    assert (found.first.tolist(), found.second.tolist()) == ([0] * 59, list(range(1, 60)))
    # A drawn quarter is up to 0.027 % off its circle, an eighth much less.
    np.testing.assert_allclose(found.distance, np.linalg.norm(shifts[1:] - shifts[0], axis=1), atol=0.0035)


WIGGLES = st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)), min_size=3, max_size=9, unique=True)


@given(WIGGLES, WIGGLES, st.floats(0.0, 0.4))
@settings(max_examples=60, deadline=None)
def test_distance_of_any_two_chains_is_as_geos_has_it(one, other, noise):
    shift = np.random.default_rng(len(one)).uniform(-noise, noise, (len(one), 2))
    for second in (other, (np.array(one) + shift).tolist(), [*one[2:], *one[:2]]):
        lines = [shapely.LinearRing(points) for points in (one, second)]
        truth = shapely.hausdorff_distance(*lines, densify=0.002)
        found = duplicates(together(polygon(one), polygon(second)), 100.0)
        # GEOS looks at places 0.2 % of a side apart: what lies between may be that much farther off.
        np.testing.assert_allclose(found.distance, [truth], atol=0.1)
        assert found.distance[0] >= truth - 0.001


def test_groups_are_kept_apart_and_empty_contours_ignored():
    three = together(circle(0, 0, 5), Outlines.empty(1), contour([[[1, 1]] * 4]), circle(0, 0, 5))
    assert len(duplicates(three, 0.05).first) == 1
    assert len(duplicates(three, 0.05, groups=np.array([0, 0, 1])).first) == 0
    assert len(duplicates(Outlines.empty(), 0.05).first) == 0


@pytest.mark.parametrize("angle", [0.0, 0.7])
@pytest.mark.parametrize("apart", [0.0, 0.04])
def test_shared_side(angle, apart):
    one, other = rectangle(0, 0, 4, 4), rectangle(4 + apart, 1, 8, 3)
    found = shared_runs(together(moved(one, angle, (3, 1)), moved(other, angle, (3, 1))), 0.05, 1.0)
    assert (found.first.tolist(), found.second.tolist()) == ([0], [1])
    np.testing.assert_allclose(found.length, [2.0], atol=0.01)
    if angle == 0.0:
        np.testing.assert_allclose(found.bounds, [[7, 2, 7, 4]], atol=0.01)
        np.testing.assert_allclose(np.sort(found.points[0], axis=0), [[7, 2], [7, 4]], atol=0.01)


def test_run_just_too_short_and_just_too_far():
    def sides(length, apart):
        return together(rectangle(0, 0, 4, 4), rectangle(4 + apart, 1, 8, 1 + length))

    assert len(shared_runs(sides(1.01, 0.0), 0.05, 1.0).first) == 1
    assert len(shared_runs(sides(0.99, 0.0), 0.05, 1.0).first) == 0
    assert len(shared_runs(sides(2.0, 0.049), 0.05, 1.0).first) == 1
    assert len(shared_runs(sides(2.0, 0.051), 0.05, 1.0).first) == 0


def test_circle_that_touches_a_line():
    # Closed form: a circle of radius r stays within w of its tangent over an arc of 2 r acos(1 − w / r).
    found = shared_runs(together(circle(0, 0, 5), rectangle(5, -9, 12, 9)), 0.05, 1.0)
    np.testing.assert_allclose(found.length, [10 * np.arccos(1 - 0.05 / 5)], atol=0.02)


SPIKE = [(0, 0), (4, 0), (4, 4), (8, 4), (4, 4), (0, 4)]


@pytest.mark.parametrize("start", range(6))
def test_spike_counts_once(start):
    found = shared_runs(rolled(polygon(SPIKE), start), 0.05, 1.0)
    np.testing.assert_allclose(found.length, [4.0], atol=0.01)
    np.testing.assert_allclose(found.bounds, [[4, 4, 8, 4]], atol=0.01)


def test_doubled_circle_counts_once():
    for turned in (0.0, 1.0, 4.0):
        twice = contour(np.concatenate([circle(0, 0, 5, turned=turned).segments] * 2))
        found = shared_runs(twice, 0.05, 1.0)
        # Arc length of a drawn quarter circle: 1.571016698 r (integrated numerically).
        np.testing.assert_allclose(found.length, [4 * 5 * 1.571016698], atol=0.005)


@pytest.mark.parametrize(
    "clean",
    [
        circle(0, 0, 5),
        circle(0, 0, 0.5),
        rectangle(0, 0, 4, 4),
        polygon([(0, 0), (4, 0), (4, 0.2), (0, 0.2)]),
        polygon([(0, 0), (4, 0), (4.02, 0.02), (4.02, 4), (0, 4)]),
        polygon([(0, 0), (10, 2), (0, 4)]),
        Outlines.empty(2),
    ],
)
def test_no_run_of_a_sound_contour_with_itself(clean):
    assert len(shared_runs(clean, 0.05, 1.0).first) == 0


def test_copies_left_out():
    three = together(circle(0, 0, 5), circle(0, 0, 5), circle(0.01, 0, 5))
    assert shared_runs(three, 0.05, 1.0).second.tolist() == [2]
    assert len(shared_runs(three, 0.05, 1.0, exclude=np.array([[0, 2]])).first) == 0
    assert len(shared_runs(three, 0.05, 1.0, leave_out=np.array([1, 2])).first) == 0


def drifting(count: int, step: float, seed: int) -> Outlines:
    """Circles each a little farther on than the one before, now and then one twice, in no order."""
    random = np.random.default_rng(seed)
    places = [10.0 + step * number for number in range(count) for _ in range(random.integers(1, 3))]
    return together(*(circle(places[row], 10, 5) for row in random.permutation(len(places))))


@pytest.mark.parametrize("step", [0.02, 0.03, 0.049])
@pytest.mark.parametrize("rounds", [1, 3])
def test_neighbours_give_what_one_standing_for_all_gives(monkeypatch, step, rounds):
    for seed in range(3):
        drawn = drifting(40, step, seed)
        monkeypatch.setattr(coincidence, "_MOST_ROUNDS", 10**6)
        wanted = duplicates(drawn, 0.05)
        monkeypatch.setattr(coincidence, "_MOST_ROUNDS", rounds)
        found = duplicates(drawn, 0.05)
        assert found.first.tolist() == wanted.first.tolist()
        assert found.second.tolist() == wanted.second.tolist()
        np.testing.assert_allclose(found.distance, wanted.distance, atol=2e-4)
        assert len(found.first) == drawn.contour_count - 1


@pytest.mark.parametrize(("step", "neighbours", "few"), [(0.03, 16, True), (0.03, 0, False)])
def test_a_drift_is_measured_in_few_looks_unless_neighbours_are_too_many(monkeypatch, step, neighbours, few):
    looks = []
    measured = coincidence._Measured.distances
    monkeypatch.setattr(
        coincidence._Measured, "distances", lambda *given: looks.append(given) or measured(*given)
    )
    monkeypatch.setattr(coincidence, "_NEIGHBOURS", neighbours)
    drawn = together(*(circle(10 + step * number, 10, 5) for number in range(60)))
    assert len(duplicates(drawn, 0.05).first) == 59
    assert (len(looks) <= coincidence._MOST_ROUNDS) == few


@pytest.mark.parametrize("pieces", [(4, 4), (4, 5)])
def test_circles_round_one_middle_hang_together_each_by_the_next(pieces):
    # Of any two neighbours one may have its nodes elsewhere; each circle lies on four either side of it.
    drawn = together(*(circle(0, 0, 9 + 0.012 * k, pieces[k % 2]) for k in range(200)))
    found = duplicates(drawn, 0.05)
    assert found.second.tolist() == list(range(1, 200))
    assert not len(found.unmeasured)


@pytest.mark.parametrize(("refused", "copies", "unmeasured"), [(1, [1, 2, 3], []), (9, [1, 3], [0, 1, 2, 3])])
def test_what_hangs_together_in_spite_of_a_pair_not_measured_is_no_worry(
    monkeypatch, refused, copies, unmeasured
):
    # Three drawn alike need no measuring; one lies near all of them and is drawn otherwise.
    drawn = together(circle(0, 0, 9), circle(0.01, 0, 9), circle(0, 0.01, 9, 7), circle(0.02, 0, 9))
    answers = iter([False] * refused + [True] * 9)
    monkeypatch.setattr(coincidence.Looks, "take", lambda *given: next(answers))
    found = duplicates(drawn, 0.05)
    assert found.second.tolist() == copies
    assert found.unmeasured.tolist() == unmeasured
