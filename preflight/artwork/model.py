"""One page of artwork as plain data, in millimetres, y down. Knows no file format, profile or rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from types import MappingProxyType

import msgspec
import numpy as np
from numpy.typing import NDArray

from preflight.geometry.outlines import Outlines

# A sheet holds these by the ten thousand. They hold only what is immutable, so no cycle can form through them,
# and the garbage collector need not look at them (``gc=False``).

__all__ = [
    "NO_PAINT",
    "Alpha",
    "Artwork",
    "Box",
    "Color",
    "InkPixels",
    "Kind",
    "Layer",
    "Note",
    "NoteKind",
    "Object",
    "Origin",
    "Page",
    "Paint",
    "PaintKind",
    "ProcessingStep",
    "Raster",
    "Spot",
    "Stroke",
]

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1 in mm."""


class Kind(StrEnum):
    """What an object is made of."""

    PATH = "path"
    TEXT = "text"
    IMAGE = "image"
    SHADING = "shading"


class PaintKind(StrEnum):
    """How a fill or stroke is coloured."""

    NONE = "none"
    COLOR = "color"
    GRADIENT = "gradient"
    PATTERN = "pattern"
    UNKNOWN = "unknown"


class Color(msgspec.Struct, frozen=True, gc=False):
    """A colour as the file gave it.

    Attributes
    ----------
    rgb : sRGB components 0–1 as a viewer shows it (not clipped: wide-gamut colours may leave 0–1).
    alpha : 0–1.
    space : name of the colour space the file used: ``srgb``, ``lab``, ``device-cmyk``, ``icc``, …
    components : the numbers in that space.
    """

    rgb: tuple[float, float, float]
    alpha: float = 1.0
    space: str = "srgb"
    components: tuple[float, ...] = ()


class Paint(msgspec.Struct, frozen=True, gc=False):
    """One fill or stroke paint.

    ``spot`` is the name of the named colour (swatch, separation, ``icc-color`` name) the paint was made
    with, or None. ``stops`` are the colours of a gradient, in order. ``paints`` is false for ``none``.
    ``inks`` are the colorants that a separation or several separations together were painted with, each with
    its tint 0–1 (of a gradient, the highest); process colorants among them too, ``None`` left out.
    """

    kind: PaintKind
    color: Color | None = None
    spot: str | None = None
    tint: float = 1.0
    stops: tuple[Color, ...] = ()
    inks: tuple[tuple[str, float], ...] = ()

    @property
    def paints(self) -> bool:
        """Whether anything is painted at all (opacity aside)."""
        return self.kind is not PaintKind.NONE


NO_PAINT = Paint(PaintKind.NONE)


class Stroke(msgspec.Struct, frozen=True, gc=False):
    """How a contour is stroked; lengths in mm at the page's scale.

    ``width`` is the mean width where a transform makes it uneven; ``uneven`` then is true, and ``pen`` is what such a
    stroke is skewed by: a, b, c, d of a matrix of determinant ±1. ``hairline`` says that a width of 0 is the thinnest line the
    device can draw, not no line at all.
    """

    paint: Paint = NO_PAINT
    width: float = 0.0
    cap: str = "butt"
    join: str = "miter"
    miter_limit: float = 4.0
    dash: tuple[float, ...] = ()
    dash_offset: float = 0.0
    opacity: float = 1.0
    uneven: bool = False
    overprint: bool = False
    pen: tuple[float, float, float, float] | None = None
    hairline: bool = False


class Origin(msgspec.Struct, frozen=True, gc=False):
    """Where an object stands in its file.

    SVG: ``line``, ``id``, ``path`` (XPath). PDF: ``object_number``, ``operator`` index, ``path`` of forms.
    ``ref`` is unique on the page and is what reports print. ``drawn_at`` is the line of what draws it where it stands elsewhere in
    the file: of the outermost ``<use>``, or of the shape that bears a marker.
    """

    ref: str
    line: int | None = None
    id: str | None = None
    path: str | None = None
    object_number: int | None = None
    operator: int | None = None
    drawn_at: int | None = None


class ProcessingStep(msgspec.Struct, frozen=True):
    """ISO 19593-1 metadata of a layer: group and type names as written."""

    group: str
    type: str | None = None


class Layer(msgspec.Struct, frozen=True):
    """A named layer or group as a person sees it in a drawing program.

    ``parent`` is an index into ``Artwork.layers`` or None. ``visible`` and ``printing`` say what happens in the end:
    in SVG a group hides all in it; in PDF the list of layers is for show, and a layer under one that is off may
    show. ``explicit`` is true where the file itself calls it a layer (not merely a named group).
    """

    name: str
    parent: int | None = None
    visible: bool = True
    printing: bool = True
    locked: bool = False
    explicit: bool = True
    step: ProcessingStep | None = None


class Spot(msgspec.Struct, frozen=True):
    """A named colour that the file defines or uses.

    ``definition`` says how: ``solidColor``, ``one-stop gradient``, ``icc-color``, ``separation`` …; ``alternate`` is what stands in for
    it at full tint, ``tints`` what does at some shares 0–1 of the paper, rising, the whole last; empty where the file knows no tints.
    ``measured`` is Lab D50 of the ink itself at some shares, in the same order; empty where the file holds no measurement.
    """

    name: str
    definition: str
    alternate: Color | None = None
    origin: Origin | None = None
    tints: tuple[tuple[float, Color], ...] = ()
    measured: tuple[tuple[float, tuple[float, float, float]], ...] = ()


class Raster(msgspec.Struct, frozen=True, gc=False):
    """How an image holds its pixels; None for what is not known.

    Attributes
    ----------
    space : colour space of the pixels, named as in ``Color.space``.
    bits : of one component.
    mask : what leaves out parts of the image: ``stencil`` (the image is itself the mask that paint goes through),
        ``explicit`` (another image says which), ``colour-key`` (pixels of some colours), ``soft`` (opacity by
        another image). None where nothing is left out.
    """

    space: str | None = None
    bits: int | None = None
    mask: str | None = None


class Object(msgspec.Struct, frozen=True, gc=False):
    """One thing drawn, in paint order. Its geometry is ``Artwork.outlines`` under the same index.

    Attributes
    ----------
    name : own label (``inkscape:label``, ``data-name``, decoded ``id``) or None.
    layer : index into ``Artwork.layers``, or None.
    classes : class names, for role matching.
    opacity : product of the object's and its groups' opacity, 0–1.
    overprint_mode : 1 where a component of zero leaves what lies below as it is (PDF's OPM), else 0.
    clip : index into ``Artwork.clips``, or None.
    clipped_away : the clip leaves nothing of the object.
    effect : what else decides where the object shows, or how it does, and is not modelled (``filter``, ``mask``, ``soft mask`` …), its
        groups' too; or None.
    groups : see-through groups it is part of, those of an opacity below 1, outermost first, each by a number of its own. They are laid on
        the page as wholes (an SVG element of its own opacity as well).
    boxed : its outlines are a box that stands for it, as of text whose letters are not known.
    hidden : why the object is not drawn (``display``, ``visibility``, ``layer``, ``switch`` …), or None.
    broken : why its geometry is incomplete or absent (path error, NaN …), or None.
    placed_size : images: (width, height) mm, along the edges of a turned one.
    pixel_size : images: (columns, rows), None if unknown. raster: images: how the pixels are held.
    linked : images: the address of one whose content the file does not hold itself.
    absent : images: a sentence that says why there are no pixels to print, or not all, where that is the file's fault.
    text : text objects: the characters.
    font_size : text objects: mm at the page's scale, the smallest of several.
    font : text objects: name of the font as the file has it, or None.
    font_held : text objects: whether the file itself holds the font that draws the letters.
    waive : text of every ``data-preflight-waive`` in force, nearest first.
    """

    kind: Kind
    origin: Origin
    layer: int | None = None
    name: str | None = None
    classes: tuple[str, ...] = ()
    fill: Paint = NO_PAINT
    fill_rule: str = "nonzero"
    fill_opacity: float = 1.0
    stroke: Stroke = Stroke()
    opacity: float = 1.0
    blend: str = "normal"
    overprint: bool = False
    overprint_mode: int = 0
    clip: int | None = None
    clipped_away: bool = False
    effect: str | None = None
    groups: tuple[int, ...] = ()
    boxed: bool = False
    hidden: str | None = None
    broken: str | None = None
    placed_size: tuple[float, float] | None = None
    pixel_size: tuple[int, int] | None = None
    linked: str | None = None
    raster: Raster | None = None
    text: str | None = None
    font_size: float | None = None
    waive: tuple[str, ...] = ()
    absent: str | None = None
    font: str | None = None
    font_held: bool = False

    @property
    def drawn(self) -> bool:
        """Whether a viewer would draw it, paint and opacity aside."""
        return self.hidden is None and not self.clipped_away

    @property
    def pixels_per_inch(self) -> tuple[float, float] | None:
        """Images: effective resolution across and down as placed; None where a size is not known or is 0."""
        if self.placed_size is None or self.pixel_size is None:
            return None
        (width, height), (columns, rows) = self.placed_size, self.pixel_size
        if not (width > 0 and height > 0 and columns > 0 and rows > 0):
            return None
        return columns * 25.4 / width, rows * 25.4 / height


class Alpha(msgspec.Struct, frozen=True, eq=False):
    """How opaque each pixel of an image is.

    Attributes
    ----------
    matrix : a, b, c, d, e, f from the unit square to mm, as SVG orders them; (0, 0) is the top left corner of the first row of pixels.
    decode : gives (rows, columns) uint8, 255 for opaque; None where it cannot be decoded. Takes time and keeps nothing.
    """

    matrix: tuple[float, float, float, float, float, float]
    decode: Callable[[], NDArray[np.uint8] | None]

    def scaled(self, factor: float) -> Alpha:
        """The same with the page enlarged about its origin."""
        return Alpha(_enlarged(self.matrix, factor), self.decode)


class InkPixels(msgspec.Struct, frozen=True, eq=False):
    """How much of each process ink the pixels of an image lay down.

    Attributes
    ----------
    matrix : as that of `Alpha`.
    decode : asked for so many columns and rows, gives (rows, columns, 4) uint8 of C, M, Y, K, 255 for the whole of an ink: averages
        over neighbouring pixels where the image has more, the pixels themselves where it has not. None where it cannot be decoded. Takes
        time and keeps nothing.
    """

    matrix: tuple[float, float, float, float, float, float]
    decode: Callable[[int, int], NDArray[np.uint8] | None]

    def scaled(self, factor: float) -> InkPixels:
        """The same with the page enlarged about its origin."""
        return InkPixels(_enlarged(self.matrix, factor), self.decode)


def _enlarged(
    matrix: tuple[float, float, float, float, float, float], factor: float
) -> tuple[float, float, float, float, float, float]:
    a, b, c, d, e, f = (factor * one for one in matrix)
    return a, b, c, d, e, f


_NO_ALPHAS: Mapping[int, Alpha] = MappingProxyType({})
_NO_INKS: Mapping[int, InkPixels] = MappingProxyType({})


class NoteKind(StrEnum):
    """Whose matter a note is."""

    NOT_MODELLED = "not-modelled"
    """Our limit: becomes a ``not-checked`` entry."""
    FAULT = "fault"
    """The file's fault, read as the standard says; said in the report."""
    ASSUMED = "assumed"
    """Something had to be assumed (units, scale); said in the report."""


class Note(msgspec.Struct, frozen=True):
    """A construct met and not modelled, or a fault met and worked round, with its place."""

    kind: NoteKind
    what: str
    message: str
    origin: Origin | None = None


class Page(msgspec.Struct, frozen=True):
    """Size and boxes in mm; how the file declared them.

    ``unit`` is the unit as declared (``mm``, ``px``, ``%``, ``none`` …), ``certain`` whether the absolute
    size is sure (a px or unitless size is not). ``pixels_per_inch`` is what the program that drew it most
    likely counted; the geometry is at 96 all the same, as viewers show it. ``boxes`` holds all five of PDF
    (``media``, ``crop``, ``bleed``, ``trim``, ``art``), their defaults filled in; ``stated_boxes`` those the file states.
    ``scale`` is how many times the size drawn the page is: a reader leaves it at 1, a Job sees the page at final size.
    """

    number: int
    width: float
    height: float
    unit: str
    certain: bool
    boxes: dict[str, Box] = msgspec.field(default_factory=dict)
    pixels_per_inch: float = 96.0
    stated_boxes: tuple[str, ...] = ()
    scale: float = 1.0


class Artwork(msgspec.Struct, frozen=True, eq=False):
    """One page. Immutable; mm; origin at the top left of the page as a viewer shows it; y down.

    ``outlines`` holds one object per entry of ``objects``; ``clips`` are regions in the same frame, each an
    Outlines whose objects are intersected (nested clips), each filled by ``clip_rules`` alike. ``alphas`` hold, by index into
    ``objects``, the images that may not be opaque everywhere; all others are. ``inks`` hold those in process inks, in the same way.
    """

    page: Page
    layers: tuple[Layer, ...]
    spots: tuple[Spot, ...]
    objects: tuple[Object, ...]
    outlines: Outlines
    clips: tuple[Outlines, ...] = ()
    clip_rules: tuple[tuple[str, ...], ...] = ()
    notes: tuple[Note, ...] = ()
    alphas: Mapping[int, Alpha] = _NO_ALPHAS
    inks: Mapping[int, InkPixels] = _NO_INKS

    def prints(self, drawn: Object) -> bool:
        """Whether an object of the page reaches the paper, paint and opacity aside: drawn, and on a layer that prints."""
        return drawn.drawn and (drawn.layer is None or self.layers[drawn.layer].printing)
