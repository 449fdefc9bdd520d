"""What the HTML page shows, sheet by sheet, as plain data ready for the template. Knows no HTML."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import count, takewhile

import msgspec

from preflight.reports.alike import Alike, alike
from preflight.reports.making import duration, knife_words, roll_words
from preflight.reports.report import (
    Drawing,
    Drawings,
    FileReport,
    PageReport,
    Report,
    SettingUse,
    StepDrawing,
)
from preflight.reports.words import (
    KIND_ADVICE,
    KIND_WORDS,
    anchor,
    counted,
    found_words,
    judged_at,
    left_out,
    length,
    limit_words,
    page_size,
    place,
    printable,
    step_words,
    where,
)
from preflight.rule import Finding, Level

from .colours import ColourRow, colour_rows
from .measures import Area, Distance, area_of, distance_of

__all__ = ["CutStep", "Entry", "Group", "RulePage", "Sheet", "rules_met", "sheets_of"]

PLACES_DRAWN = 500
"""Places of one finding that are marked on the picture; the entry says how many there are."""

MESSAGES_LISTED = 10
"""Messages about one subject that was not checked which are entries of their own; the others of a page share one."""

_CONTOURS_PER_PATH = 100
"""Contours joined into one SVG path: few enough that a browser skips those out of sight, many enough to load fast."""

_HALO_LIMIT = 1_500_000
"""Characters of path data of a page from which the pale edge beside the lines is left out, to stay quick."""

_TONES = {"Cutting": 0, "PartialCutting": 1, "Perforating": 2, "Creasing": 3}
_TONE_COUNT = 8

Box = tuple[float, float, float, float]

_GROUPS = (
    ("error", "Errors"),
    ("warning", "Warnings"),
    ("unchecked", "Not checked"),
    ("note", "Notes"),
    ("known", "Known"),
    ("waived", "Waived"),
)
"""Kinds of entry, worst first. What was not checked may hide anything, so it stands before mere notes."""


class Entry(msgspec.Struct, frozen=True):
    """One line of the list. ``kind`` is a level, ``unchecked``, ``known`` or ``waived``; ``topic`` the rule or what is not checked.

    ``limit`` says on which side of it the value found lies, and what it is.
    """

    id: str
    number: int
    kind: str
    word: str
    rule: str
    topic: str
    message: str
    place: str | None = None
    found: str | None = None
    limit: tuple[str, str] | None = None
    objects: tuple[str, ...] = ()
    hint: str = ""
    waived: str | None = None
    known: str | None = None
    mend: str | None = None
    points: tuple[tuple[float, float], ...] = ()
    distance: Distance | None = None
    area: Area | None = None
    box: Box | None = None
    point: tuple[float, float] | None = None
    times: int = 1
    """How many findings, or things not checked, the entry stands for."""


class Group(msgspec.Struct, frozen=True):
    """The entries of one kind."""

    kind: str
    title: str
    entries: tuple[Entry, ...]

    @property
    def total(self) -> int:
        """How many findings, or things not checked, the entries stand for."""
        return sum(entry.times for entry in self.entries)


class CutStep(msgspec.Struct, frozen=True):
    """One step: its lines on the picture and its figures. ``tone`` picks colour and dash."""

    name: str
    words: str
    tone: int
    paths: tuple[str, ...] = ()
    pieces: str = "–"
    contours: str = "–"
    length: str = "–"
    time: str = "–"


class Sheet(msgspec.Struct, frozen=True):
    """One page of one file, or an unreadable file.

    ``short`` is the label without the folders that all files share. ``judged`` are the rules that judged it, ``left_out`` says which did not, a line for each cause.
    ``figures`` are sentences on what the copies asked for take.
    """

    id: str
    path: str
    label: str
    short: str = ""
    size: str = ""
    width: float = 0.0
    height: float = 0.0
    reason: str | None = None
    hint: str | None = None
    picture: str | None = None
    steps: tuple[CutStep, ...] = ()
    figures: tuple[str, ...] = ()
    colours: tuple[ColourRow, ...] = ()
    halo: bool = True
    groups: tuple[Group, ...] = ()
    rules: tuple[tuple[str, int], ...] = ()
    judged: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    worst: str = "clean"
    summary: str = ""

    @property
    def readable(self) -> bool:
        """Whether there is a page to show."""
        return self.reason is None

    def count(self, kind: str) -> int:
        """How many entries there are of a kind."""
        return sum(group.total for group in self.groups if group.kind == kind)

    @property
    def timed(self) -> bool:
        """Whether the time of any step is known."""
        return any(step.time != "–" for step in self.steps)

    @property
    def open_findings(self) -> int:
        """Findings that count."""
        return sum(self.count(level) for level in Level)


class RulePage(msgspec.Struct, frozen=True):
    """A rule's public page and its settings in force."""

    id: str
    summary: str
    sections: list[tuple[str, str]] = msgspec.field(default_factory=list)
    settings: tuple[SettingUse, ...] = ()


def sheets_of(report: Report, drawings: Drawings) -> Iterator[Sheet]:
    """A sheet for each page of each file, in the report's order."""
    tones = _tones(report)
    folder = len(_shared_folder([file.path for file in report.files]))
    number = 0
    for file in report.files:
        if file.status == "unreadable":
            number += 1
            yield _unreadable(f"s{number}", file, folder)
            continue
        drawn = {drawing.page: drawing for drawing in drawings(file.path)}
        for page in file.pages:
            number += 1
            sheet = _sheet(f"s{number}", file, page, drawn.get(page.number), tones)
            off = {one.rule for one in file.rules_off}
            yield msgspec.structs.replace(
                sheet,
                short=sheet.label.removeprefix(printable(file.path[:folder])),
                summary=sheet.summary + (f", {counted(len(off), 'rule')} left out" if off else ""),
                judged=tuple(printable(rule.id) for rule in report.rules if rule.id not in off),
                left_out=tuple(left_out(file.rules_off, report)),
            )


def rules_met(sheets: Sequence[Sheet]) -> Iterator[str]:
    """Ids of the rules with an entry on any of the sheets, sorted."""
    yield from sorted({rule for sheet in sheets for rule, _ in sheet.rules})


def _tones(report: Report) -> dict[str, int]:
    """A tone for each step of the report, the same on every sheet; unknown steps take what is left in turn."""
    met = {step.step for file in report.files for page in file.pages for step in page.production.steps}
    tones = dict(_TONES)
    for index, step in enumerate(sorted(met - tones.keys())):
        tones[step] = len(_TONES) + index % (_TONE_COUNT - len(_TONES))
    return tones


def _shared_folder(paths: Sequence[str]) -> str:
    """The folders that all paths begin with, with the slash at their end; none for a single path."""
    if len(paths) < 2:
        return ""
    levels = zip(*(path.split("/")[:-1] for path in paths), strict=False)
    same = takewhile(lambda names: len(set(names)) == 1, levels)
    return "".join(f"{names[0]}/" for names in same)


def _unreadable(id_: str, file: FileReport, folder: int) -> Sheet:
    return Sheet(
        id=id_,
        path=printable(file.path),
        label=printable(file.path),
        short=printable(file.path[folder:]),
        reason=printable(file.reason or "The reason is not known."),
        hint=None if file.hint is None else printable(file.hint),
        worst="error",
        summary="unreadable",
    )


def _sheet(
    id_: str, file: FileReport, page: PageReport, drawing: Drawing | None, tones: dict[str, int]
) -> Sheet:
    width, height = page.size_mm
    groups = tuple(_groups(id_, page))
    steps = tuple(_steps(page, drawing, tones))
    several = f", page {page.number}" if len(file.pages) > 1 else ""
    kinds = [group.kind for group in groups if group.kind not in ("known", "waived")]
    return Sheet(
        id=id_,
        path=printable(file.path),
        label=printable(file.path) + several,
        size=", ".join(words for words in (page_size(width, height), judged_at(page.scale)) if words),
        width=width,
        height=height,
        picture=None if drawing is None else drawing.picture,
        steps=steps,
        figures=tuple(told for told in (knife_words(page.production), roll_words(page.production)) if told),
        colours=colour_rows(page.colours),
        halo=sum(len(path) for step in steps for path in step.paths) < _HALO_LIMIT,
        groups=groups,
        rules=tuple(
            sorted(Counter(entry.rule for group in groups for entry in group.entries if entry.rule).items())
        ),
        worst=kinds[0] if kinds else "partly" if file.rules_off else "clean",
        summary=", ".join(_tally(group) for group in groups) or "nothing found",
    )


def _tally(group: Group) -> str:
    word = group.kind if group.kind in list(Level) else group.title.lower()
    return counted(group.total, word, group.title.lower())


def _groups(sheet: str, page: PageReport) -> Iterator[Group]:
    numbers = count(1)
    for kind, title in _GROUPS:
        entries = [
            _finding_entry(sheet, next(numbers), kind, finding)
            for finding in page.findings
            if kind == _kind(finding)
        ]
        if kind == "unchecked":
            gathered = alike(page.not_checked, MESSAGES_LISTED)
            entries += [_unchecked_entry(sheet, next(numbers), one) for one in gathered]
        if entries:
            yield Group(kind, title, tuple(entries))


def _kind(finding: Finding) -> str:
    """Under which of the kinds of `_GROUPS` a finding is listed."""
    if finding.waived is not None:
        return "waived"
    return finding.level if finding.known is None else "known"


def _finding_entry(sheet: str, number: int, kind: str, finding: Finding) -> Entry:
    measured = finding.measured
    mends = {
        "safe": "A safe mend exists.",
        "review": "A mend exists that a person should review.",
        None: None,
    }
    return Entry(
        id=f"{sheet}-e{number}",
        number=number,
        kind=kind,
        word=kind if finding.open else f"{kind} {finding.level}",
        rule=finding.rule,
        topic=printable(finding.rule),
        message=printable(finding.message),
        place=place(finding),
        found=None if measured is None else found_words(measured),
        limit=None if measured is None else limit_words(measured),
        objects=tuple(where(reference) for reference in finding.objects),
        hint=printable(finding.hint),
        waived=None if finding.waived is None else printable(finding.waived),
        known=finding.known,
        mend=mends[finding.fix],
        points=tuple(point for point in finding.points_mm[:PLACES_DRAWN] if all(map(math.isfinite, point))),
        distance=distance_of(finding),
        area=area_of(finding),
        box=_finite(finding.bounds_mm),
        point=anchor(finding),
    )


def _finite(box: Box | None) -> Box | None:
    return box if box is not None and all(map(math.isfinite, box)) else None


def _unchecked_entry(sheet: str, number: int, alike_ones: Alike) -> Entry:
    entries = alike_ones.entries
    first, times = entries[0], len(entries)
    points = [point for entry in entries if (point := anchor(entry)) is not None]
    objects = dict.fromkeys(where(entry.object) for entry in entries if entry.object is not None)
    message = printable(first.message)
    if alike_ones.others:
        message = f"And {times:,} more of this kind in other words, which the JSON report holds."
    elif times > 1:
        message = f"{message} Met {times:,} times."
    return Entry(
        id=f"{sheet}-e{number}",
        number=number,
        kind="unchecked",
        word=KIND_WORDS[first.kind],
        rule="",
        topic=printable(first.what),
        message=message,
        place=next(filter(None, map(place, entries)), None),
        hint=KIND_ADVICE[first.kind],
        times=times,
        points=tuple(points[:PLACES_DRAWN]) if times > 1 else (),
        box=_around([box for entry in entries if (box := _finite(entry.bounds_mm)) is not None]),
        point=points[0] if points else None,
        objects=tuple(objects),
    )


def _around(boxes: Sequence[Box]) -> Box | None:
    """The box round all the boxes."""
    if not boxes:
        return None
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def _steps(page: PageReport, drawing: Drawing | None, tones: dict[str, int]) -> Iterator[CutStep]:
    drawn = {} if drawing is None else {step.step: step for step in drawing.steps}
    figures = {step.step: step for step in page.production.steps}
    for name in sorted(
        drawn.keys() | figures.keys(), key=lambda name: (tones.get(name, _TONE_COUNT - 1), name)
    ):
        step = figures.get(name)
        tone, paths = tones.get(name, _TONE_COUNT - 1), _joined(drawn.get(name))
        if step is None:
            yield CutStep(printable(name), step_words(name), tone, paths)
        else:
            yield CutStep(
                printable(name), step_words(name), tone, paths,
                f"{step.pieces:,}", f"{step.contours:,}", length(step.cut_length_mm),
                "–" if step.time_s is None else duration(step.time_s),
            )  # fmt: skip


def _joined(step: StepDrawing | None) -> tuple[str, ...]:
    paths = () if step is None else step.paths
    starts = range(0, len(paths), _CONTOURS_PER_PATH)
    return tuple("".join(paths[start : start + _CONTOURS_PER_PATH]) for start in starts)
