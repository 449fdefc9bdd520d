"""A sheet as plain data: layers of named shapes in mm. Knows how nothing is written to a file."""

from __future__ import annotations

from dataclasses import dataclass, replace

from demo_sheet.outline import Bounds, Path

Matrix = tuple[float, float, float, float, float, float]
"""a b c d e f, as SVG and PDF write them: x' = a x + c y + e, y' = b x + d y + f."""


@dataclass(frozen=True)
class Swatch:
    """A named colour; ``screen`` is the sRGB colour a viewer shows, ``#rrggbb``."""

    id: str
    name: str
    screen: str


HAIRLINE = 0.1
"""mm: how wide cut lines are drawn."""

Ink = str | Swatch
"""A plain sRGB colour, or a named one."""


@dataclass(frozen=True)
class Shape:
    """One path with its paints. ``stroke_width``, ``dash`` and ``dash_offset`` in mm."""

    name: str
    path: Path
    fill: Ink | None = None
    stroke: Ink | None = None
    stroke_width: float = 0.0
    round_ends: bool = False
    dash: tuple[float, ...] = ()
    even_odd: bool = False
    dash_offset: float = 0.0
    fill_opacity: float = 1.0
    stroke_opacity: float = 1.0
    blend: str = "normal"


ADVANCE, ASCENT, DESCENT = 0.55, 0.8, 0.22
"""Of the font's size: the width of every letter and how far it reaches above and below its baseline. A PDF states them
of its font; an SVG states none, and these are what the program takes text for that comes without its font.
"""


@dataclass(frozen=True)
class Words:
    """Live text, middle of its baseline at (x, y): what a print job should not hold. ``size`` in mm."""

    name: str
    text: str
    x: float
    y: float
    size: float
    fill: Ink

    @property
    def bounds(self) -> Bounds:
        """The box of its letters."""
        half = ADVANCE * self.size * len(self.text) / 2
        return self.x - half, self.y - ASCENT * self.size, self.x + half, self.y + DESCENT * self.size


@dataclass(frozen=True)
class Picture:
    """Pixels in a box: a sea under a sky. ``linked`` names the file that holds them, where the sheet does not."""

    name: str
    x: float
    y: float
    width: float
    height: float
    columns: int
    rows: int
    linked: str | None = None

    def pixels(self) -> bytes:
        """Red, green and blue of each, row by row from the top."""
        sky, sea = bytes.fromhex("d3e7ea"), bytes.fromhex("2b7391")
        line = [self.rows // 2 + (column // 4 + 1) % 2 for column in range(self.columns)]
        return b"".join(
            sea if row >= line[column] else sky for row in range(self.rows) for column in range(self.columns)
        )


@dataclass(frozen=True)
class Group:
    """Shapes that belong together, shown only inside ``clip`` where it is given.

    ``matrix`` maps all in it, the clip too. A group that is ``shared`` is written once, apart, and drawn by its name
    (``<use>``, a form); ``extent`` is the box outside of which such a group shows nothing. A group without a name
    has none in the file.
    """

    name: str
    items: tuple[Shape | Group | Picture, ...]
    clip: Path | None = None
    clip_even_odd: bool = False
    matrix: Matrix | None = None
    opacity: float = 1.0
    shared: bool = False
    extent: Bounds | None = None


@dataclass(frozen=True)
class Layer:
    """A named layer, perhaps with layers in it.

    What lies on a layer that ``overprints`` leaves the inks beneath as they are, where the format can say so.
    """

    name: str
    items: tuple[Shape | Group | Words | Picture | Layer, ...]
    hidden: bool = False
    locked: bool = False
    overprints: bool = False


@dataclass(frozen=True)
class Sheet:
    """One page, its origin at the top left, y down."""

    title: str
    about: str
    width: float
    height: float
    layers: tuple[Layer, ...]
    swatches: tuple[Swatch, ...] = ()


@dataclass(frozen=True)
class Sticker:
    """One piece: its art, and the contour that cuts it out."""

    name: str
    art: Group
    cut: Path
    white: Path | None = None


def filled(name: str, path: Path, ink: Ink, *, even_odd: bool = False) -> Shape:
    """A shape painted inside only."""
    return Shape(name, path, fill=ink, even_odd=even_odd)


def stroked(name: str, path: Path, ink: Ink, width: float, *, round_ends: bool = True) -> Shape:
    """A shape drawn with a line only."""
    return Shape(name, path, stroke=ink, stroke_width=width, round_ends=round_ends)


def cut_line(name: str, path: Path, ink: Ink) -> Shape:
    """A contour for the knife: no fill and a hairline."""
    return Shape(name, path, stroke=ink, stroke_width=HAIRLINE)


def moved(item: Shape | Group, dx: float, dy: float) -> Shape | Group:
    """The same thing elsewhere on the sheet."""
    if isinstance(item, Shape):
        return replace(item, path=item.path.moved(dx, dy))
    clip = None if item.clip is None else item.clip.moved(dx, dy)
    return replace(item, items=tuple(moved(part, dx, dy) for part in item.items), clip=clip)


def placed(sticker: Sticker, dx: float, dy: float) -> Sticker:
    """The sticker moved as a whole."""
    art = moved(sticker.art, dx, dy)
    assert isinstance(art, Group)
    white = None if sticker.white is None else sticker.white.moved(dx, dy)
    return Sticker(sticker.name, art, sticker.cut.moved(dx, dy), white)


def enlarged(sticker: Sticker, factor: float) -> Sticker:
    """The sticker, drawn about its own middle, at another size; its lines grow with it."""
    art = _enlarged(sticker.art, factor)
    assert isinstance(art, Group)
    white = None if sticker.white is None else sticker.white.scaled(factor)
    return Sticker(sticker.name, art, sticker.cut.scaled(factor), white)


def _enlarged(item: Shape | Group, factor: float) -> Shape | Group:
    if isinstance(item, Shape):
        return replace(item, path=item.path.scaled(factor), stroke_width=item.stroke_width * factor)
    clip = None if item.clip is None else item.clip.scaled(factor)
    return replace(item, items=tuple(_enlarged(part, factor) for part in item.items), clip=clip)
