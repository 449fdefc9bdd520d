"""Open cut lines that pieces side by side share: which are, and what pieces they leave."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from preflight.engine import Engine
from preflight.job import Job
from preflight.profile import Profile

ENGINE = Engine(Profile.default())
FRAME = "M10 10H90V70H10z"


def page_of(**cuts: str) -> bytes:
    """A page of 120 × 90 mm, with the path of each layer."""
    layers = "".join(
        f'<g id="{layer}"><path d="{path}" fill="none" stroke="#d0d" stroke-width=".1"/></g>'
        for layer, path in cuts.items()
    )
    page = f'<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="90mm" viewBox="0 0 120 90">{layers}</svg>'
    return page.encode()


def job_of(cuts: str, layer: str = "Through_cut") -> Job:
    (job,) = ENGINE.read_bytes(page_of(**{layer: cuts}), "cuts.svg")[1]
    return job


def common(job: Job) -> list[int]:
    return np.flatnonzero(job.common_lines.flags).tolist()


@pytest.mark.parametrize(
    ("lines", "indices", "areas"),
    [
        ("M50 10V70", [1], [2400, 2400]),
        ("M50 70V10", [1], [2400, 2400]),
        ("M30 10V70M10 40H90", [1, 2], [600, 600, 1800, 1800]),
        ("M50 10C60 30 60 50 50 70", [1], [2100, 2700]),  # the bulge is the integral of 30 t (1 − t) · 60
        (
            "M50 10V70M50 40H90",
            [1, 2],
            [1200, 1200, 2400],
        ),  # the second ends on the first, which is open as well
        ("M90 20H110V60H90", [1], [800, 4800]),  # three sides of a card against the block
        ("M90 10H110V70H90", [1], [1200, 4800]),  # from corner to corner
        ("M50 10.008V69.992", [1], [2400, 2400]),
        ("M50 10.02V70", [], [4800]),  # stops 0.02 mm before
        ("M50 9.98V70", [], [4800]),  # goes on past it
        ("M50 10V40", [], [4800]),  # ends in the film
        ("M20 10H60", [], [4800]),  # runs along the side
        ("M10 10H90V70H10V10.5", [], [4800]),  # an open copy of the block
        ("M50 10V40M50 70V40", [], [4800]),  # two halves that meet end to end: each is an open line
        ("M30 20V50H50V20zM50 35H90", [2], [4200]),  # from the edge of a hole to the block's: parts nothing
    ],
)
def test_lines_that_end_on_cuts_part_the_film(lines: str, indices: list[int], areas: list[float]) -> None:
    job = job_of(FRAME + lines)
    assert common(job) == indices
    assert sorted(shapely.area(job.pieces.regions).tolist()) == pytest.approx(sorted(areas), abs=0.5)


def test_a_line_of_another_step_ends_on_no_cut_of_its_own() -> None:
    report = ENGINE.check_bytes(page_of(Through_cut=FRAME, Kiss_cut="M50 10V70"), "cuts.svg").report
    assert [one.rule for one in report.findings()] == ["contour-open"]
    assert common(job_of(f"{FRAME}M50 10V70", "Perforation")) == []


def test_the_pieces_are_counted() -> None:
    page = page_of(Through_cut=FRAME + "M30 10V70M10 40H90M90 20H110V60H90")
    (report,) = ENGINE.check_bytes(page, "cuts.svg").report.pages
    assert report.findings == ()
    assert [(one.step, one.pieces) for one in report.production.steps] == [("Cutting", 5)]


def test_a_hatch_of_lines_parts_nothing_and_says_so() -> None:
    places = [10 + 60 * number / 260 for number in range(1, 260)]
    grid = "".join(f"M10 {at:.4f}H90M{at + 10:.4f} 10V70" for at in places)
    job = job_of(FRAME + grid)
    assert len(job.pieces.regions) == 1
    assert [note.what for note in job.common_lines.notes] == ["region of a cut"]
