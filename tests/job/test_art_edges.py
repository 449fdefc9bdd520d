"""Pieces beside whose border the art ends, against distances worked out by hand; in order are those left out."""

from __future__ import annotations

import pytest

from preflight.job import Job
from preflight.job.art_edges import pieces_beside_edges
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read

CUT = '<rect id="Cutting" x="20" y="20" width="40" height="40" fill="none" stroke="#f0f"/>'


def _job(art: str) -> Job:
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="80mm" viewBox="0 0 80 80">'
        + art
        + "</svg>"
    )
    (artwork,) = read(text.encode(), "art.svg", Limits(), None)
    return Job(artwork, Profile.default())


def _suspects(art: str, inside: float = 2.0, outside: float = 3.0) -> list[int]:
    job = _job(art + CUT)
    assert len(job.pieces.regions) == 1
    return pieces_beside_edges(job, inside, outside).tolist()


def _square(margin: float, paint: str = 'fill="#08c"') -> str:
    """A square ``margin`` mm larger than the cut on all sides."""
    size = 40 + 2 * margin
    return f'<rect x="{20 - margin}" y="{20 - margin}" width="{size}" height="{size}" {paint}/>'


@pytest.mark.parametrize(
    ("margin", "suspect"),
    [(3.02, False), (2.98, True), (0.0, True), (-1.98, True), (-2.02, False), (-19.0, False), (20.0, False)],
)
def test_an_edge_is_near_on_the_side_it_lies_on(margin: float, suspect: bool) -> None:
    assert _suspects(_square(margin)) == [0] * suspect


@pytest.mark.parametrize(("side", "suspect"), [("inside", True), ("outside", False)])
def test_each_side_has_its_own_reach(side: str, suspect: bool) -> None:
    assert _suspects(_square(-2.5 if side == "inside" else 2.5), inside=3.0, outside=2.0) == [0] * suspect


def test_what_is_hidden_by_other_art_has_edges_all_the_same() -> None:
    assert _suspects(_square(-1.0, 'fill="#c00"') + _square(5.0)) == [0]


def test_a_stroke_ends_half_its_width_beside_its_line() -> None:
    ring = 'fill="none" stroke="#08c" stroke-width="2"'
    assert _suspects(_square(4.02, ring)) == []
    assert _suspects(_square(3.98, ring)) == [0]


def test_a_clip_is_where_art_ends() -> None:
    clip = f'<clipPath id="a">{_square(2.5)}</clipPath>'
    assert _suspects(clip + _square(9.0, 'fill="#08c" clip-path="url(#a)"')) == [0]


def test_a_pattern_is_looked_at_wherever_it_ends() -> None:
    pattern = '<pattern id="p" width="4" height="4" patternUnits="userSpaceOnUse"><rect width="2" height="2"/></pattern>'
    assert _suspects(pattern + _square(15.0, 'fill="url(#p)"')) == [0]


def test_a_hole_of_the_piece_has_a_border_too() -> None:
    hole = '<path d="M0 0H80V80H0Z" fill="#08c"/><circle cx="40" cy="40" r="3" fill="#fff"/>'
    job = _job(
        f'{hole}<path id="Cutting" fill="none" stroke="#f0f" fill-rule="evenodd" '
        'd="M20 20H60V60H20ZM35 40a5 5 0 1 0 10 0a5 5 0 1 0-10 0Z"/>'
    )
    assert pieces_beside_edges(job, 1.0, 2.5).tolist() == [0]
    assert pieces_beside_edges(job, 1.0, 1.5).tolist() == []


def test_no_art_no_suspects() -> None:
    assert _suspects("") == []
