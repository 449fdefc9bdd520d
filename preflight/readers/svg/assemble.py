"""From what the walk recorded to Artwork: all curves at once, clips, faults of geometry. Knows no XML."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.artwork.model import Artwork, Kind, NoteKind, Object, Page
from preflight.geometry import extents, pathdata, transform
from preflight.geometry.outlines import Flags, Outlines
from preflight.readers.errors import Unreadable
from preflight.readers.svg.clip import ClipNode, regions
from preflight.readers.svg.context import Context
from preflight.readers.svg.drawn import Drawn
from preflight.readers.svg.page import Frame
from preflight.readers.svg.walk import Walk

__all__ = ["assembled"]


def assembled(context: Context, walk: Walk, frame: Frame) -> Artwork:
    """The finished page."""
    drawn = walk.drawn
    shapes, faults = _shapes(context, drawn)
    matrices = np.array([record.matrix for record in drawn], np.float64).reshape(-1, 6)
    with np.errstate(over="ignore", invalid="ignore"):
        outlines = transform.apply(shapes.of_objects([record.text for record in drawn]), matrices)
    if len(outlines.segments) > context.limits.path_segments:
        raise Unreadable(
            f"The page holds {len(outlines.segments):,} segments, above the limit of {context.limits.path_segments:,}",
            None,
            "Simplify the artwork, or raise the limit in the profile.",
        )
    outlines, absurd = _sane(outlines, context.limits.coordinate)
    for record, bad in zip(drawn, absurd.tolist(), strict=True):
        fault = faults.get(record.text)
        if fault:
            record.broken = fault
            context.note(NoteKind.FAULT, "path", f"{fault[0].upper()}{fault[1:]}.", record.origin)
        if bad:
            record.broken = "coordinates that are no numbers or lie absurdly far away; the object is left out"
            message = "Coordinates are no numbers or lie absurdly far away; the object is left out."
            context.note(NoteKind.FAULT, "coordinates", message, record.origin)
    clips = _Clips(shapes, outlines)
    places = [clips.place(record.clip) for record in drawn]
    away = clips.clipped_away(places, [record.stroke.width for record in drawn])
    return Artwork(
        page=frame.page if frame.sized else _grown(frame.page, outlines),
        layers=tuple(walk.layers.found),
        spots=tuple(context.paints.spots.values()),
        objects=tuple(_object(*row) for row in zip(drawn, places, away, strict=True)),
        outlines=outlines,
        clips=tuple(clips.outlines),
        clip_rules=tuple(clips.rules),
        notes=tuple(context.notes),
    )


def _shapes(context: Context, drawn: list[Drawn]) -> tuple[Outlines, dict[int, str]]:
    """Curves of every path text, and what is wrong with some of them."""
    length = sum(map(len, context.texts.texts))
    # Two characters make the shortest segment, so this never refuses what the exact count would allow.
    if length > 64 * context.limits.path_segments:
        raise Unreadable("The path data is longer than the limit allows", None, "Simplify the artwork.")
    with np.errstate(over="ignore", invalid="ignore"):
        parsed = pathdata.parse(context.texts.texts)
    context.deadline.check()
    faults = {
        error.path: f"the path data breaks off at character {error.offset + 1} ({error.message}); drawn up to there"
        for error in parsed.errors
    }
    return parsed.outlines, faults


def _sane(outlines: Outlines, limit: float) -> tuple[Outlines, Flags]:
    """Outlines with absurd objects emptied, and which those are."""
    bad = np.zeros(outlines.object_count, bool)
    with np.errstate(invalid="ignore"):
        segments = ~(np.abs(outlines.segments) < limit).all(axis=(1, 2))
        starts = ~(np.abs(outlines.starts) < limit).all(axis=1)
    of_contour = outlines.object_of_contour
    bad[of_contour[starts]] = True
    bad[of_contour[outlines.contour_of_segment[segments]]] = True
    if not bad.any():
        return outlines, bad
    joined = Outlines.joined([outlines, Outlines.empty(1)])
    return joined.of_objects(np.where(bad, outlines.object_count, np.arange(outlines.object_count))), bad


def _grown(page: Page, outlines: Outlines) -> Page:
    """A page that states no size at all holds at least what is drawn on it."""
    boxes = extents.object_boxes(outlines)
    boxes = boxes[np.isfinite(boxes).all(axis=1)]
    if not len(boxes):
        return page
    right, bottom = boxes[:, 2:].max(axis=0).tolist()
    return msgspec.structs.replace(page, width=max(page.width, right), height=max(page.height, bottom))


class _Clips:
    """Distinct chains of clips as they go into the model."""

    def __init__(self, shapes: Outlines, drawn: Outlines) -> None:
        self.outlines: list[Outlines] = []
        self.rules: list[tuple[str, ...]] = []
        self._shapes = shapes
        self._drawn = drawn
        self._known: dict[tuple[ClipNode, ...], int] = {}

    def place(self, chain: tuple[ClipNode, ...]) -> int | None:
        """Index of the clip that is the intersection of a chain."""
        if not chain:
            return None
        if chain not in self._known:
            found = [region for node in chain for region in regions(node, self._shapes, self._drawn)]
            self._known[chain] = len(self.outlines)
            self.outlines.append(Outlines.joined([outline for outline, _ in found]))
            self.rules.append(tuple(rule for _, rule in found))
        return self._known[chain]

    def clipped_away(self, places: list[int | None], widths: list[float]) -> list[bool]:
        """Which objects their clip leaves nothing of.

        Boxes decide first; where they meet, the true regions do, to 0.01 mm.
        """
        away = [False] * len(places)
        clipped = [index for index, place in enumerate(places) if place is not None]
        if not clipped:
            return away
        boxes = extents.object_boxes(self._drawn)
        allowed = [_common_box(outline) for outline in self.outlines]
        areas: dict[int, object] = {}
        for index in clipped:
            place = places[index]
            if place is None or not np.isfinite(boxes[index]).all():
                continue
            reach = widths[index] / 2
            x0, y0, x1, y1 = (boxes[index] + np.array([-reach, -reach, reach, reach])).tolist()
            left, top, right, bottom = allowed[place]
            if x0 > right or x1 < left or y0 > bottom or y1 < top or right < left or bottom < top:
                away[index] = True
            elif not (x0 >= left and x1 <= right and y0 >= top and y1 <= bottom):
                away[index] = self._outside(index, place, reach, areas)
        return away

    def _outside(self, index: int, place: int, reach: float, areas: dict[int, object]) -> bool:
        import shapely

        from preflight.geometry.rings import polygons

        if place not in areas:
            regions_ = polygons(self.outlines[place], list(self.rules[place]), 0.01)
            area = shapely.intersection_all(regions_)
            shapely.prepare(area)
            areas[place] = area
        one = self._drawn.of_objects([index])
        filled = polygons(one, ["nonzero"], 0.01)[0]
        if shapely.is_empty(filled):
            return False
        return not bool(shapely.dwithin(areas[place], filled, reach))


def _common_box(outline: Outlines) -> tuple[float, float, float, float]:
    """Box that all regions of a clip share; inside out where there is none."""
    boxes = extents.object_boxes(outline)
    if not np.isfinite(boxes).all():
        return (np.inf, np.inf, -np.inf, -np.inf)
    x0, y0 = boxes[:, :2].max(axis=0).tolist()
    x1, y1 = boxes[:, 2:].min(axis=0).tolist()
    return x0, y0, x1, y1


def _object(record: Drawn, clip: int | None, away: bool) -> Object:
    style = record.style
    return Object(
        kind=record.kind,
        origin=record.origin,
        layer=record.state.layer,
        name=record.name,
        classes=tuple((record.element.get("class") or "").split()),
        fill=record.fill,
        fill_rule=style["fill-rule"],
        fill_opacity=style["fill-opacity"] if record.kind is not Kind.IMAGE else 1.0,
        stroke=record.stroke,
        opacity=record.opacity,
        blend=style["mix-blend-mode"] if style["mix-blend-mode"] != "normal" else record.state.blend,
        clip=clip,
        clipped_away=away,
        hidden=record.hidden,
        broken=record.broken,
        placed_size=record.placed,
        pixel_size=record.pixels,
        linked=record.linked,
        text=record.characters,
        font_size=record.font_size,
        waive=record.waive,
    )
