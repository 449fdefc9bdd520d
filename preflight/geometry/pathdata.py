"""SVG path data to curves, all paths of a document at once. Knows the path grammar, no XML and no units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

import msgspec
import numpy as np

from .arcs import arcs_to_cubics
from .distinct import distinct
from .outlines import Floats, Integers, Outlines, offsets_of
from .pathscan import NUMBERS_OF, Scan, doubtful, scanned, values
from .pathsteps import Steps, steps_of
from .pathtext import valid_prefix
from .threads import by_threads

__all__ = ["ParsedPaths", "PathError", "TooManySegmentsError", "parse"]

_SEPARATORS = r"[ \t\r\n\f,]"
_SOLID = r"[^ \t\r\n\f,]"

_BATCH = 1_500_000
"""Characters that are read together: what is made of them still fits the caches of a processor."""


class PathError(msgspec.Struct, frozen=True):
    """Where the path data of one path breaks off, as a character offset, and why."""

    path: int
    offset: int
    message: str


class TooManySegmentsError(ValueError):
    """The path data makes more segments than were allowed; ``count`` of them at the least."""

    def __init__(self, count: int) -> None:
        super().__init__(f"{count:,} segments or more")
        self.count = count


class ParsedPaths(msgspec.Struct, frozen=True):
    """Curves of each path (one object per text) and the errors met."""

    outlines: Outlines
    errors: tuple[PathError, ...]


def parse(texts: Sequence[str], most: int | None = None) -> ParsedPaths:
    """Read the path data of a whole document.

    Parameters
    ----------
    texts : the ``d`` attributes, one per path; empty and ``none`` give an object without contours.
    most : segments that may be made. They are counted before they are, for each takes some hundreds of bytes.

    Raises
    ------
    TooManySegmentsError

    Returns
    -------
    ParsedPaths
        One object per text, in user units, all numbers finite. Of a path with an error, what stands before
        it is kept, as SVG 2 (9.5.4) says. A contour that ``z`` closes gets a closing line unless its ends
        coincide already, rounding aside.
    """
    batches = [
        _Reading(["" if text.strip() == "none" else text.replace("\0", "\ufffd") for text in batch])
        for batch in _batches(texts)
    ]
    with by_threads(len(batches)) as each:
        scans = list(each(scanned, [batch.texts for batch in batches]))
        if most is not None and (count := sum(map(_least_segments, scans))) > most:
            raise TooManySegmentsError(count)
        outlines = list(each(_read, batches, scans))
    errors: list[PathError] = []
    begin = 0
    for batch in batches:
        errors += (
            msgspec.structs.replace(one, path=begin + path) for path, one in sorted(batch.errors.items())
        )
        begin += len(batch.texts)
    return ParsedPaths(Outlines.joined(outlines) if len(outlines) > 1 else outlines[0], tuple(errors))


def _batches(texts: Sequence[str]) -> Iterator[Sequence[str]]:
    """The texts in order, as many together as there is room for; one batch at the least."""
    begin, room = 0, _BATCH
    for place, text in enumerate(texts):
        room -= len(text)
        if room < 0 and place > begin:
            yield texts[begin:place]
            begin, room = place, _BATCH - len(text)
    yield texts[begin:]


def _read(reading: _Reading, scan: Scan) -> Outlines:
    """The curves of a batch."""
    suspects = doubtful(scan)
    if suspects:
        reading.read_again(suspects)
        scan = scanned(reading.texts)
    numbers = values(scan)
    if not np.isfinite(numbers).all():
        reading.read_again(set(scan.path_of(scan.number_places[~np.isfinite(numbers)]).tolist()))
        scan = scanned(reading.texts)
        numbers = values(scan)
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        return _finite_outlines(reading, scan, numbers)


def _least_segments(scan: Scan) -> int:
    """How many segments there are, an arc being one, and of a subpath all but the one that closes it."""
    arity = NUMBERS_OF[scan.letters]
    sets = np.diff(scan.first) // np.maximum(arity, 1)
    sets[arity == 0] = 0
    moves = np.count_nonzero((scan.letters == ord("M")) | (scan.letters == ord("m")))
    return int(sets.sum() - moves)


class _Reading:
    """The texts as far as they hold, and what was wrong with the rest."""

    def __init__(self, texts: list[str]) -> None:
        self.texts = texts
        self.originals = tuple(texts)
        self.errors: dict[int, PathError] = {}

    def read_again(self, paths: Iterable[int]) -> None:
        """Put paths through the careful reader."""
        for path in paths:
            self.texts[path], offset, message = valid_prefix(self.texts[path])
            if offset is not None:
                self.errors.setdefault(path, PathError(path, offset, message))

    def cut_off(self, path: int, place: int, message: str) -> None:
        """Keep of a path the whole steps that stand before ``place`` of its present text."""
        text = self.texts[path]
        self.texts[path] = valid_prefix(text[:place])[0]
        # Reading again changes nothing but the spaces: the count of all else finds the place in the file.
        before = len(re.sub(_SEPARATORS, "", text[:place]))
        solid = [match.start() for match in re.finditer(_SOLID, self.originals[path])]
        self.errors[path] = PathError(path, solid[before], message)


def _finite_outlines(reading: _Reading, scan: Scan, numbers: Floats) -> Outlines:
    """Outlines of all paths, each cut off where its sums leave the range of floating point."""
    paths = len(reading.texts)
    if not len(scan.letters):
        return Outlines.empty(paths)
    steps = steps_of(scan, numbers)
    outlines, owner = _outlines(steps, paths)
    lost = owner[~np.isfinite(outlines.segments).all(axis=(1, 2))]
    lost = distinct(np.concatenate([lost, np.flatnonzero(~np.isfinite(steps.end).all(axis=1))]))
    if not len(lost):
        return outlines
    broken, at = np.unique(steps.path[lost], return_index=True)
    for path, row in zip(broken.tolist(), lost[at].tolist(), strict=True):
        begin = int(scan.ends[path - 1]) + 1 if path else 0
        place = int(scan.number_places[steps.first[row]]) - begin
        reading.cut_off(path, place, "the coordinates grow too large")
    scan = scanned(reading.texts)
    return _finite_outlines(reading, scan, values(scan))


def _outlines(steps: Steps, paths: int) -> tuple[Outlines, Integers]:
    """The curves of all steps, and the step each segment comes from."""
    name = steps.name
    moves, closes, arcs = name == ord("M"), name == ord("Z"), name == ord("A")
    straight = np.isin(name, (ord("L"), ord("H"), ord("V"))) | closes
    counts = np.ones(len(name), np.intp)
    counts[moves] = 0
    gaps_at_close = np.hypot(*(steps.start - steps.end).T)
    counts[closes & (gaps_at_close == 0)] = 0
    arc_rows = np.flatnonzero(arcs)
    arc_arguments = np.concatenate([steps.arc[arc_rows], steps.end[arc_rows]], axis=1)
    arc_segments, arc_counts = arcs_to_cubics(steps.start[arc_rows], arc_arguments)
    counts[arc_rows] = arc_counts

    owner = np.repeat(np.arange(len(name)), counts)
    segments = np.empty((len(owner), 4, 2))
    segments[:, 0] = steps.start[owner]
    segments[:, 1:3] = steps.controls[owner].reshape(-1, 2, 2)
    segments[:, 3] = steps.end[owner]
    is_straight = straight[owner]
    for index, share in ((1, 1 / 3), (2, 2 / 3)):
        line = segments[is_straight, 0] * (1 - share) + segments[is_straight, 3] * share
        segments[is_straight, index] = line
    segments[arcs[owner]] = arc_segments
    radii_zero = arcs & (steps.arc[:, :2] == 0).any(axis=1)
    is_straight = is_straight | radii_zero[owner]

    contours = int(moves.sum())
    per_contour = np.bincount(steps.contour[owner], minlength=contours)
    move_rows = np.flatnonzero(moves)
    closed = np.zeros(contours, bool)
    closed[steps.contour[closes]] = True
    last = np.append(move_rows[1:], len(name)) - 1
    drawn_end = np.where(closes[last][:, None], steps.start[last], steps.end[last])
    starts = steps.end[move_rows]
    objects = np.bincount(steps.path[move_rows], minlength=paths)
    outlines = Outlines(
        segments=segments,
        straight=is_straight,
        contour_offsets=offsets_of(per_contour),
        object_offsets=offsets_of(objects),
        starts=starts,
        closed=closed,
        gaps=np.hypot(*(drawn_end - starts).T),
    )
    return outlines, owner
