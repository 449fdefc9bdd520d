"""Borders of pieces with fewer points, held against the true ones by GEOS's own Hausdorff distance."""

from __future__ import annotations

import pytest
import shapely

from preflight.job import Job
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read

CIRCLE = "M0 20A20 20 0 0 1 40 20A20 20 0 0 1 0 20z"
ROUNDED = "M5 0H35Q40 0 40 5V35C40 38 38 40 35 40H5A5 5 0 0 1 0 35V5A5 5 0 0 1 5 0z"
FIGURE_OF_EIGHT = "M0 0C60 40 60 0 0 40C-60 80 -60 40 0 0z"
LOOP = "M0 0C80 60 -40 60 40 0V-20H0z"
RING = f"{CIRCLE}M10 20A10 10 0 0 1 30 20A10 10 0 0 1 10 20z"
SQUARE = "M0 0H40V40H0z"
WILD = "M-99000 0C99000 0 -99000 40 -99000 40z"
"""Not followed to 0.002 mm: that takes more pieces than a segment is cut into."""


def _job(*shapes: str) -> Job:
    cuts = "".join(
        f'<path transform="translate({100 * place} 0)" d="{shape}"/>' for place, shape in enumerate(shapes)
    )
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="2000mm" height="100mm" viewBox="0 0 2000 100">'
        f'<g id="Cutting" fill="none" stroke="#f0f">{cuts}</g></svg>'
    )
    (artwork,) = read(text.encode(), "cuts.svg", Limits(), None)
    return Job(artwork, Profile.default())


@pytest.mark.parametrize("shape", [CIRCLE, ROUNDED, FIGURE_OF_EIGHT, RING, SQUARE])
def test_a_rough_border_leaves_the_true_one_by_no_more_than_is_asked(shape: str) -> None:
    pieces = _job(SQUARE, shape, CIRCLE).pieces
    rough = pieces.rough_borders(0.04)
    assert len(rough) == len(pieces.regions) >= 3
    # GEOS looks at the points of either line, and at three more between two of them.
    apart = shapely.hausdorff_distance(rough, pieces.borders, densify=0.25)
    assert (apart <= 0.04).all()


def test_curves_come_to_fewer_points() -> None:
    pieces = _job(CIRCLE, ROUNDED, RING).pieces
    rough = shapely.get_num_coordinates(pieces.rough_borders(0.04))
    assert (2 * rough <= shapely.get_num_coordinates(pieces.borders)).all()


def test_a_border_that_is_its_contour_is_told_from_others() -> None:
    plain = _job(CIRCLE, SQUARE, WILD).pieces
    assert plain._contours.tolist() == [0, 1, -1]
    mixed = _job(LOOP, RING, CIRCLE).pieces
    assert mixed._contours[-1] == 3
    assert (mixed._contours[:-1] == -1).all()
