"""Cuts whose region cannot be worked out: judged by their hull, and said so."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.job import Job
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read

LINE = 'fill="none" stroke="#f0f" stroke-width="0.1"'


def tangle(count: int) -> str:
    points = np.random.default_rng(7).random((count, 2)) * 80 + 10
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in points) + "z"


def job_of(count: int) -> Job:
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
        f'<g id="Cutting"><path id="a" {LINE} d="{tangle(count)}"/></g>'
        f'<g id="kiss cut"><path id="b" {LINE} d="M40 40h9v9h-9z"/><path id="c" {LINE} d="M1 1h3v3h-3z"/></g></svg>'
    )
    (artwork,) = read(text.encode(), "a.svg", Limits(), None)
    return Job(artwork, Profile.default())


@pytest.mark.parametrize(("count", "notes"), [(900, ["a"]), (60, [])])
def test_what_lies_in_a_tangled_cut_is_told_by_its_hull(count: int, notes: list[str]) -> None:
    job = job_of(count)
    around = job.cuts.regions_of_objects(np.array([0]))[0]
    leaving = list(job.nesting.outside(("PartialCutting",), "Cutting", hole_share=0.0))
    assert "c" in [found.contour.reference.ref for found in leaving]
    assert [note.origin.ref for note in job.cuts.notes if note.origin] == notes
    if notes:
        assert around.equals(around.convex_hull)
        assert [found.contour.reference.ref for found in leaving] == ["c"]


def test_pieces_of_a_tangled_object_are_counted_by_its_hull() -> None:
    job = job_of(900)
    whole = job.cuts.regions(np.array([0, 1]))
    assert whole[0].area > 5000
    assert whole[1].area == pytest.approx(81)
    assert [(note.what, note.origin.ref) for note in job.cuts.notes if note.origin] == [
        ("region of a cut", "a")
    ]
