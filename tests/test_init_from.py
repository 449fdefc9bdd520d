"""``init --from``: what the names in a good job are proposed as."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.engine import Engine
from preflight.job.observed import observed_names
from preflight.profile import Profile

CORNERS = [(5, 5), (195, 5), (5, 95), (195, 95)]


def seen(tmp_path: Path, body: str) -> dict[str, tuple[str, str | None]]:
    path = tmp_path / "good.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'width="200mm" height="100mm" viewBox="0 0 200 100">{body}</svg>',
        encoding="utf-8",
    )
    _, jobs = Engine(Profile.default()).read(path)
    return {one.name: (one.looks_like, one.known_as) for one in observed_names(jobs)}


def layer(name: str, body: str) -> str:
    return f'<g inkscape:groupmode="layer" inkscape:label="{name}">{body}</g>'


def dots(places: list[tuple[int, int]], sizes: list[float]) -> str:
    return "".join(
        f'<circle cx="{x}" cy="{y}" r="{r}" fill="#000"/>' for (x, y), r in zip(places, sizes, strict=True)
    )


LINE = '<circle cx="60" cy="50" r="20" fill="none" stroke="#f0f" stroke-width="0.1"/>'


def test_thin_unfilled_lines_look_like_cuts_and_known_ones_say_so(tmp_path: Path) -> None:
    found = seen(tmp_path, layer("Harbour line", LINE) + layer("Kiss Cut", LINE))
    assert found == {"Harbour line": ("cut", None), "Kiss Cut": ("cut", "PartialCutting")}


@pytest.mark.parametrize(
    "body",
    [LINE.replace("0.1", "0.5"), LINE.replace('fill="none"', 'fill="#ff0"'), LINE.replace("#f0f", "none")],
    ids=["wide", "filled", "unpainted"],
)
def test_what_is_wide_filled_or_unpainted_is_no_cut(tmp_path: Path, body: str) -> None:
    assert seen(tmp_path, layer("Sea", body)) == {}


def test_four_small_equal_dots_in_the_corners_look_like_marks(tmp_path: Path) -> None:
    assert seen(tmp_path, layer("Eyes", dots(CORNERS, [2.5] * 4))) == {"Eyes": ("mark", None)}


@pytest.mark.parametrize(
    ("places", "sizes"),
    [
        (CORNERS[:3], [2.5] * 3),
        (CORNERS, [2.5, 2.5, 2.5, 3.5]),
        (CORNERS, [8.0] * 4),
        ([(60, 40), (80, 40), (60, 60), (80, 60)], [2.5] * 4),
        ([(5, 5), (195, 5), (50, 5), (195, 95)], [2.5] * 4),
    ],
    ids=["three", "unlike", "large", "together", "not in the corners"],
)
def test_other_dots_are_no_marks(tmp_path: Path, places: list[tuple[int, int]], sizes: list[float]) -> None:
    assert seen(tmp_path, layer("Eyes", dots(places, sizes))) == {}


def test_a_layer_of_pure_white_fills_looks_like_white(tmp_path: Path) -> None:
    area = '<rect x="30" y="30" width="60" height="40" fill="{}"/>'
    assert seen(tmp_path, layer("Backing", area.format("#fff"))) == {"Backing": ("white", None)}
    assert seen(tmp_path, layer("Backing", area.format("#fefefe"))) == {}
