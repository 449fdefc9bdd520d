"""A sheet while faults are planted in it, and each fault with its place by construction. Knows no rule's reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from demo_sheet.outline import Path, Point, bounds
from demo_sheet.sheet import Layer, Picture, Shape, Sticker, Words


@dataclass(frozen=True)
class Fault:
    """One planted fault: which rule finds it, where, and the value it must report."""

    rule: str
    layer: str
    about: str
    bounds: tuple[float, float, float, float]
    points: tuple[Point, ...] = ()
    measured: float | None = None
    unit: str | None = None

    def plain(self) -> dict[str, object]:
        """For the expectation file; lengths to a tenth of a micrometre."""
        return {
            "rule": self.rule,
            "layer": self.layer,
            "about": self.about,
            "bounds_mm": [round(value, 4) for value in self.bounds],
            "points_mm": [[round(x, 4), round(y, 4)] for x, y in self.points],
            "measured": None if self.measured is None else round(self.measured, 4),
            "unit": self.unit,
        }


@dataclass
class Draft:
    """The sheet while faults are planted in it."""

    stickers: dict[str, Sticker]
    kiss: dict[str, Shape]
    more_art: list[Shape | Picture | Words]
    more_layers: list[Layer]
    faults: list[Fault]

    def take(self, name: str) -> Path:
        """Take a sticker's kiss cut out of its layer."""
        del self.kiss[name]
        return self.stickers[name].cut

    def clip(self, name: str, past: Path) -> None:
        """Let a sticker's art go as far as a path, so that it bleeds past a cut that was changed."""
        sticker = self.stickers[name]
        self.stickers[name] = replace(sticker, art=replace(sticker.art, clip=past))

    def plant(self, rule: str, about: str, where: Path | Sequence[Point], **more: object) -> None:
        """Note a fault; its bounds are those of a path, or of the places."""
        if isinstance(where, Path):
            box, points = bounds(where), tuple[Point, ...]()
        else:
            xs, ys = [x for x, _ in where], [y for _, y in where]
            box, points = (min(xs), min(ys), max(xs), max(ys)), tuple(where)
        self.faults.append(replace(Fault(rule, "Kiss Cut", about, box, points), **more))  # type: ignore[arg-type]
