"""Points near lines, held against every point beside every line."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from preflight.geometry.points_near_lines import points_near_lines


@pytest.mark.parametrize("seed", range(20))
def test_pairs_are_those_of_all_distances(seed: int) -> None:
    dice = np.random.default_rng(seed)
    walks = [dice.normal(0, 1, (dice.integers(2, 80), 2)).cumsum(axis=0) for _ in range(12)]
    lines = np.array([shapely.LineString(walk) for walk in walks])
    corners = np.concatenate([walks[0][[0, -1]], walks[3][::17]])
    points = shapely.points(np.concatenate([dice.normal(0, 6, (60, 2)), corners]))
    point, line = points_near_lines(points, lines, 0.5)
    far = shapely.distance(points[:, None], lines[None])
    assert list(zip(point.tolist(), line.tolist(), strict=True)) == list(
        map(tuple, np.argwhere(far <= 0.5).tolist())
    )
    assert len(point)


def test_nothing_is_near_no_line() -> None:
    points = shapely.points([[0.0, 0.0]])
    for lines in (np.empty(0, object), np.array([shapely.LineString()])):
        point, line = points_near_lines(points, lines, 1.0)
        assert len(point) == len(line) == 0


def test_of_a_line_with_every_point_in_its_box_only_what_lies_near_is_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    turn = np.linspace(0, 2 * np.pi, 4_000)
    rings = [
        shapely.LineString(radius * np.column_stack([np.cos(turn), np.sin(turn)])) for radius in range(1, 40)
    ]
    points = shapely.points(np.column_stack([np.linspace(0.5, 38.5, 39), np.zeros(39)]))
    looked: list[int] = []
    tree = shapely.STRtree

    class Counted(tree):  # type: ignore[misc]
        """Counts what is held against the points beyond the boxes."""

        def query(self, geometry: object, predicate: str, distance: float) -> object:
            around = shapely.buffer(geometry, distance, cap_style="square")
            found = self.geometries[super().query(around)[1]]
            looked.append(int(shapely.get_num_coordinates(found).sum()))
            return super().query(geometry, predicate=predicate, distance=distance)

    monkeypatch.setattr(shapely, "STRtree", Counted)
    point, _ = points_near_lines(points, np.array(rings), 0.01)
    assert not len(point)
    assert sum(looked) < 2_000
