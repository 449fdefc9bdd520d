"""Distances are within 0.02 mm of the truth, whatever transforms, units and scales a sheet is drawn in, as SVG and as PDF.

Each sheet holds a dozen pieces whose distances are known by construction: circles and offsets by their closed form, ellipses by
points of their equations. The whole command is run.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from demo_sheet.outline import Path
from demo_sheet.shapes import circle, ellipse, rectangle, rounded
from demo_sheet.sheet import Group, Layer, Shape, Sheet, cut_line, filled, stroked
from random_sheets.other_units import as_pdf, as_svg

from preflight.cli import main

NEAR = 0.02
"""mm: the issue's promise."""
PITCH = 75.0
ACROSS = 4
SHEETS = range(12)


@dataclass(frozen=True)
class Piece:
    """Cut contours and art about the origin, in mm, and what must be measured on them."""

    cuts: tuple[Path, ...]
    art: tuple[Shape | Group, ...]
    rule: str | None = None
    truth: float = 0.0


def _disc_bleed(chance: Random) -> Piece:
    radius, bleed = chance.uniform(8, 22), chance.uniform(0.2, 2.9)
    art = filled("disc", circle(0, 0, radius + bleed), "#0b4f6c")
    return Piece((circle(0, 0, radius),), (art,), "bleed-short", bleed)


def _ellipse_bleed(chance: Random) -> Piece:
    a, b = chance.uniform(12, 24), chance.uniform(6, 12)
    wider, higher = chance.uniform(0.3, 2.8), chance.uniform(0.3, 2.8)
    angles = np.linspace(0, 2 * math.pi, 3601)
    inner = np.stack([a * np.cos(angles), b * np.sin(angles)], axis=1)
    outer = np.stack([(a + wider) * np.cos(angles), (b + higher) * np.sin(angles)], axis=1)
    truth = min(float(np.hypot(*(inner - point).T).min()) for point in outer[::6])
    art = filled("ellipse", ellipse(0, 0, a + wider, b + higher), "#0b4f6c")
    return Piece((ellipse(0, 0, a, b),), (art,), "bleed-short", truth)


def _clipped_bleed(chance: Random) -> Piece:
    corners, bleed = _corners(chance), chance.uniform(0.2, 2.9)
    ground = filled("ground", rectangle(-36, -36, 36, 36), "#0b4f6c")
    return Piece(
        (rounded(corners),), (Group("clip", (ground,), clip=rounded(corners, bleed)),), "bleed-short", bleed
    )


def _knocked_out_bleed(chance: Random) -> Piece:
    corners, bleed = _corners(chance), chance.uniform(0.2, 2.9)
    frame = rectangle(-36, -36, 36, 36) + rounded(corners, bleed)
    art = (
        filled("ground", rectangle(-33, -33, 33, 33), "#e9c46a"),
        filled("border", frame, "#ffffff", even_odd=True),
    )
    return Piece((rounded(corners),), art, "bleed-short", bleed)


def _stroked_bleed(chance: Random) -> Piece:
    radius, bleed = chance.uniform(8, 22), chance.uniform(0.3, 2.9)
    width = chance.uniform(0.2, 1.9) * bleed
    line = stroked("rim", circle(0, 0, radius + bleed - width / 2), "#0b4f6c", width)
    ground = filled("ground", circle(0, 0, radius + bleed - width / 2), "#e9c46a")
    return Piece((circle(0, 0, radius),), (ground, line), "bleed-short", bleed)


def _no_bleed(chance: Random) -> Piece:
    corners = _corners(chance)
    return Piece((rounded(corners),), (filled("flush", rounded(corners), "#0b4f6c"),), "bleed-short", 0.0)


def _near_disc(chance: Random) -> Piece:
    radius, margin = chance.uniform(12, 24), chance.uniform(0.1, 1.9)
    own = chance.uniform(2, radius / 2)
    art = filled("disc", circle(0, radius - own - margin, own), "#0b4f6c")
    return Piece((circle(0, 0, radius),), (art,), "art-near-cut", margin)


def _near_offset(chance: Random) -> Piece:
    corners, margin = _corners(chance), chance.uniform(0.1, 1.9)
    art = filled("inside", rounded(corners, -margin), "#0b4f6c")
    return Piece((rounded(corners),), (art,), "art-near-cut", margin)


def _drift(chance: Random) -> Piece:
    radius, drift = chance.uniform(8, 20), chance.uniform(0.1, 0.9)
    own = chance.uniform(1, 5)
    art = filled("dot", circle(radius + drift + own, 0, own), "#0b4f6c")
    return Piece((circle(0, 0, radius),), (art,), "art-near-cut", drift)


def _two_discs(chance: Random) -> Piece:
    first, second, gap = chance.uniform(5, 12), chance.uniform(5, 12), chance.uniform(0.1, 2.9)
    return Piece((circle(-first, 0, first), circle(gap + second, 0, second)), (), "cut-spacing", gap)


def _disc_in_square(chance: Random) -> Piece:
    half, gap = chance.uniform(8, 20), chance.uniform(0.3, 2.9)
    return Piece((rectangle(-half, -half, half, half), circle(0, 0, half - gap)), (), "cut-spacing", gap)


def _in_order(chance: Random) -> Piece:
    corners = _corners(chance)
    art = (filled("ground", rounded(corners, 3.1), "#0b4f6c"), filled("border", circle(0, 0, 3), "#ffffff"))
    return Piece((rounded(corners),), art)


def _white_border(chance: Random) -> Piece:
    corners = _corners(chance)
    art = (filled("ground", rounded(corners, 4), "#0b4f6c"), filled("border", rounded(corners, 5), "#ffffff"))
    return Piece((rounded(corners),), (*art, filled("inside", rounded(corners, -2.1), "#e9c46a")))


MAKERS: Sequence[Callable[[Random], Piece]] = (
    _disc_bleed, _ellipse_bleed, _clipped_bleed, _knocked_out_bleed, _stroked_bleed, _no_bleed, _near_disc,
    _near_offset, _drift, _two_discs, _disc_in_square, _in_order, _white_border,
)  # fmt: skip


def _corners(chance: Random) -> list[tuple[float, float, float]]:
    x, y, radius = chance.uniform(9, 20), chance.uniform(9, 20), chance.uniform(3, 7)
    return [(-x, -y, radius), (x, -y, radius), (x, y, radius), (-x, y, radius)]


def _nested(chance: Random, items: tuple[Shape | Group, ...], x: float, y: float, depth: int) -> Group:
    """The items at a place, turned, in groups whose scales and turns undo each other but for that turn."""
    turn, mirror = chance.uniform(0, 2 * math.pi), chance.choice((1.0, -1.0))
    cos, sin = math.cos(turn), math.sin(turn)
    group = Group("", items, matrix=(cos, sin, -sin * mirror, cos * mirror, 0.0, 0.0))
    scales = [chance.uniform(0.2, 5) for _ in range(depth)]
    for scale in scales:
        group = Group("", (group,), matrix=(scale, 0.0, 0.0, scale, 0.0, 0.0))
    back = 1.0 / math.prod(scales)
    return Group("", (group,), matrix=(back, 0.0, 0.0, back, x, y))


def sheet(number: int) -> tuple[Sheet, list[tuple[float, float, Piece]]]:
    """The sheet of a number, and the pieces with the middles of their cells."""
    chance = Random(7919 * number + 3)  # noqa: S311 -- shapes, not secrets
    art: list[Group] = []
    cuts: list[Group] = []
    pieces = []
    for place, maker in enumerate(MAKERS):
        piece = maker(chance)
        x, y = (place % ACROSS + 0.5) * PITCH, (place // ACROSS + 0.5) * PITCH
        lines = tuple(cut_line(f"cut {place}", path, "#cc79a7") for path in piece.cuts)
        # The same turn for art and cut: the state of chance is the same for both.
        state, depth = chance.getstate(), chance.randrange(4)
        for into, items in ((art, piece.art), (cuts, lines)):
            chance.setstate(state)
            chance.randrange(4)
            if items:
                into.append(_nested(chance, items, x, y, depth))
        pieces.append((x, y, piece))
    size = ACROSS * PITCH, math.ceil(len(MAKERS) / ACROSS) * PITCH
    layers = (Layer("Print", tuple(art)), Layer("Kiss cut", tuple(cuts), overprints=True))
    return Sheet(f"Sheet {number}", "Known distances.", *size, layers), pieces


@pytest.mark.parametrize("kind", ["svg", "pdf"])
@pytest.mark.parametrize("number", SHEETS)
def test_distances_are_true(number: int, kind: str) -> None:
    drawn, pieces = sheet(number)
    scale = (1.0, 10.0, 0.5)[number % 3]
    data = (as_svg if kind == "svg" else as_pdf)(drawn, number, scale)
    asked = ["check", "-", "--stdin-name", f"known.{kind}", "--format", "json", "--select", "clearances"]
    told = CliRunner().invoke(main, [*asked, "--scale", repr(scale)], input=data)
    assert told.exit_code in (0, 1), told.output
    (page,) = json.loads(told.stdout)["files"][0]["pages"]
    assert [one for one in page["not_checked"] if one["kind"] != "assumed"] == []
    found: dict[tuple[int, int], list[dict[str, Any]]] = {}
    for one in page["findings"]:
        x, y = one["points_mm"][0]
        found.setdefault((int(x // PITCH), int(y // PITCH)), []).append(one)
    for x, y, piece in pieces:
        own = found.pop((int(x // PITCH), int(y // PITCH)), [])
        assert [one["rule"] for one in own] == ([] if piece.rule is None else [piece.rule]), (x, y)
        for one in own:
            assert one["measured"]["value"] == pytest.approx(piece.truth, abs=NEAR)
            assert math.dist(*one["points_mm"]) == pytest.approx(piece.truth, abs=NEAR)
    assert found == {}
