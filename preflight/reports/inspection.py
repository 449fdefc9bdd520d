"""What the reader saw and what each object is for, as plain data and as text. Judges nothing."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

import msgspec

from preflight.artwork import Spot
from preflight.job import Job
from preflight.job.making.production import Production, production

from .making import roll_words
from .report import NotCheckedKind
from .words import KIND_WORDS, page_size, printable

__all__ = ["FileInspection", "Inspection", "inspection_of", "inspection_text"]


class LayerSeen(msgspec.Struct, frozen=True):
    """A layer or named group."""

    name: str
    visible: bool
    printing: bool
    locked: bool


class SpotSeen(msgspec.Struct, frozen=True):
    """A named colour, how it is defined, and the colour that stands in for it where it is known: space and numbers.

    One name that the file defines in two ways is there twice.
    """

    name: str
    definition: str
    space: str | None = None
    components: tuple[float, ...] = ()


class ObjectSeen(msgspec.Struct, frozen=True, kw_only=True):
    """One object in paint order; ``bounds_mm`` are exact curve extents without stroke width.

    ``drawn_at`` is the line of the ``<use>``, or of the shape that bears a marker, by which what stands at ``line`` is drawn here.
    """

    ref: str
    id: str | None
    line: int | None
    drawn_at: int | None
    kind: str
    layer: str | None
    role: str
    step: str | None
    why: str
    hidden: str | None
    clipped_away: bool
    broken: str | None
    bounds_mm: tuple[float, float, float, float] | None
    contours: int
    segments: int
    closed: int


class NoteSeen(msgspec.Struct, frozen=True):
    """Something the reader did not model, mended or assumed."""

    kind: NotCheckedKind
    what: str
    message: str
    ref: str | None
    line: int | None


class PageSeen(msgspec.Struct, frozen=True, kw_only=True):
    """One page, at final size: ``scale`` is how many times the size drawn that is.

    ``production`` is what the copies asked for take.
    """

    number: int
    size_mm: tuple[float, float]
    unit: str
    size_certain: bool
    scale: float
    boxes: dict[str, tuple[float, float, float, float]]
    layers: tuple[LayerSeen, ...]
    spots: tuple[SpotSeen, ...]
    objects: tuple[ObjectSeen, ...]
    notes: tuple[NoteSeen, ...]
    production: Production = Production()


class FileInspection(msgspec.Struct, frozen=True, kw_only=True):
    """One file; ``reason`` is set and ``pages`` empty when it is unreadable."""

    path: str
    format: str | None
    reason: str | None = None
    hint: str | None = None
    pages: tuple[PageSeen, ...] = ()


class Inspection(msgspec.Struct, frozen=True):
    """All files asked for."""

    files: tuple[FileInspection, ...]


def inspection_of(path: str, format_: str, jobs: tuple[Job, ...]) -> FileInspection:
    """What was seen in one file."""
    return FileInspection(path=path, format=format_, pages=tuple(_page(job) for job in jobs))


def _page(job: Job) -> PageSeen:
    artwork = job.artwork
    page = artwork.page
    return PageSeen(
        number=page.number,
        size_mm=(_rounded(page.width), _rounded(page.height)),
        unit=page.unit,
        size_certain=page.certain,
        scale=round(page.scale, 9),
        boxes=dict(page.boxes),
        layers=tuple(LayerSeen(one.name, one.visible, one.printing, one.locked) for one in artwork.layers),
        spots=tuple(_spot(spot) for spot in artwork.spots),
        objects=tuple(_objects(job)),
        notes=tuple(
            NoteSeen(
                note.kind.value,
                note.what,
                note.message,
                note.origin.ref if note.origin else None,
                note.origin.line if note.origin else None,
            )
            for note in artwork.notes
        ),
        production=production(job),
    )


def _spot(spot: Spot) -> SpotSeen:
    color = spot.alternate
    if color is None:
        return SpotSeen(spot.name, spot.definition)
    numbers = tuple(_rounded(value) for value in color.components or color.rgb)
    return SpotSeen(spot.name, spot.definition, color.space, numbers)


def _objects(job: Job) -> Iterator[ObjectSeen]:
    outlines = job.artwork.outlines
    first = outlines.object_offsets.tolist()
    segment = outlines.contour_offsets.tolist()
    closed = [0, *outlines.closed.cumsum().tolist()]
    for item in job.items:
        start, end = first[item.index], first[item.index + 1]
        yield ObjectSeen(
            ref=item.object.origin.ref,
            id=item.object.origin.id,
            line=item.object.origin.line,
            drawn_at=item.object.origin.drawn_at,
            kind=str(item.object.kind),
            layer=item.layers[0] if item.layers else None,
            role=str(item.assignment.role),
            step=item.assignment.step,
            why=item.assignment.why,
            hidden=item.object.hidden,
            clipped_away=item.object.clipped_away,
            broken=item.object.broken,
            bounds_mm=None if item.box is None else _rounded_box(item.box),
            contours=end - start,
            segments=segment[end] - segment[start],
            closed=closed[end] - closed[start],
        )


def _rounded(value: float) -> float:
    # Six decimals: a nanometre, below which float noise begins on a page of metres.
    return round(value, 6) + 0.0 if math.isfinite(value) else value


def _rounded_box(box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = box
    return _rounded(x0), _rounded(y0), _rounded(x1), _rounded(y1)


def inspection_text(inspection: Inspection, width: int = 80) -> str:
    """The inspection for a person, wrapped at ``width``; what could steer a terminal is made visible."""
    lines: list[str] = []
    for file in inspection.files:
        lines.append(f"{printable(file.path)}  {file.format or 'unreadable'}")
        if file.reason is not None:
            lines += _wrapped(f"{file.reason}. {file.hint or ''}", width, "  ")
        for page in file.pages:
            lines += _page_lines(page, width)
        lines.append("")
    return "\n".join(lines)


def _wrapped(text: str, width: int, indent: str, more: str | None = None) -> list[str]:
    return textwrap.wrap(
        printable(text),
        width,
        initial_indent=indent,
        subsequent_indent=indent if more is None else more,
        break_on_hyphens=False,
    )


def _page_lines(page: PageSeen, width: int) -> Iterator[str]:
    sure = "" if page.size_certain else f" (declared in {page.unit}: confirm the size)"
    scaled = "" if page.scale == 1.0 else f", {page.scale:.6g} times the size drawn"
    yield f"  page {page.number}: {page_size(*page.size_mm)}{scaled}{sure}"
    rolled = roll_words(page.production)
    yield from [] if rolled is None else _wrapped(rolled, width, "    ", "      ")
    for layer in page.layers:
        states = [word for word, on in (("hidden", not layer.visible), ("locked", layer.locked)) if on]
        told = f"layer “{layer.name}”" + (f"  {', '.join(states)}" if states else "")
        yield from _wrapped(told, width, "    ", "      ")
    for spot in page.spots:
        look = f"  {spot.space} {' '.join(f'{value:.4g}' for value in spot.components)}" if spot.space else ""
        yield from _wrapped(f"named colour “{spot.name}”  {spot.definition}{look}", width, "    ", "      ")
    for seen in page.objects:
        hidden = f"  hidden: {seen.hidden}" if seen.hidden else "  clipped away" if seen.clipped_away else ""
        lines = f"  line {seen.line}, drawn by line {seen.drawn_at}" if seen.drawn_at is not None else ""
        told = f"{seen.ref}  {seen.kind}  {seen.step or seen.role}{hidden}{lines}"
        yield from _wrapped(told, width, "    ", "      ")
        yield from _wrapped(seen.why + _extent(seen), width, "      ")
    for note in page.notes:
        told = f"{KIND_WORDS[note.kind]}: {note.message}" + (f" ({note.ref})" if note.ref else "")
        yield from _wrapped(told, width, "    ! ", "      ")


def _extent(seen: ObjectSeen) -> str:
    if seen.bounds_mm is None:
        return ""
    x0, y0, x1, y1 = seen.bounds_mm
    return f"  x {x0:.2f}–{x1:.2f}  y {y0:.2f}–{y1:.2f} mm"
