"""The report as plain data: what the engine makes, JSON holds and every renderer reads. Knows no format."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Literal

import msgspec

from preflight.job.colours.uses import ColourUse, NearestColour, TintUse
from preflight.job.making.production import Production, RollUse, StepProduction
from preflight.rule import Finding, Level, ObjectReference, Rule

__all__ = [
    "BaselineUse",
    "ColourUse",
    "Counts",
    "Drawing",
    "FileReport",
    "HeldFinding",
    "NearestColour",
    "NotChecked",
    "PageReport",
    "PluginUse",
    "Production",
    "ProfileUse",
    "Renderer",
    "Report",
    "RollUse",
    "RuleOff",
    "RuleUse",
    "SettingUse",
    "StepDrawing",
    "StepProduction",
    "TintUse",
    "Tool",
]

FORMAT_NAME: Literal["artwork-preflight report"] = "artwork-preflight report"
FORMAT_VERSION: Literal[1] = 1


NotCheckedKind = Literal["not-modelled", "fault", "assumed"]
"""Our limit; the file's fault, worked round as its standard says; something that had to be assumed."""


class NotChecked(msgspec.Struct, frozen=True, kw_only=True):
    """Something met that no rule could judge as it stands in the file. ``kind`` says whose matter it is.

    ``bounds_mm`` are those of its object, None where it has none on the page.
    """

    kind: NotCheckedKind = "not-modelled"
    what: str
    message: str
    bounds_mm: tuple[float, float, float, float] | None = None
    object: ObjectReference | None = None


class PageReport(msgspec.Struct, frozen=True, kw_only=True):
    """One page: findings worst first, then by place; what was not checked; figures.

    Every length and place is at final size; ``scale`` is how many times the size drawn that is. ``colours`` are the named
    colours that the art on it prints.
    """

    number: int
    size_mm: tuple[float, float]
    findings: tuple[Finding, ...] = ()
    not_checked: tuple[NotChecked, ...] = ()
    production: Production = Production()
    scale: float = 1.0
    colours: tuple[ColourUse, ...] = ()


class RuleOff(msgspec.Struct, frozen=True, kw_only=True):
    """A rule that did not judge a file. ``because`` tells who left it out, ``reason`` why, where a reason is asked for.

    ``not selected`` and ``ignored`` are the command line's, ``profile`` the level ``off`` of its table, ``override`` an
    override of the profile for some files.
    """

    rule: str
    because: Literal["not selected", "ignored", "profile", "override"]
    reason: str | None = None


class FileReport(msgspec.Struct, frozen=True, kw_only=True):
    """One file. ``reason`` and ``hint`` are set when it is unreadable: what is wrong, and the mend.

    ``rules_off`` lists the rules that did not judge it; every other rule of the report did, if there was anything to judge.
    """

    path: str
    sha256: str | None
    format: str | None
    status: Literal["checked", "unreadable"]
    reason: str | None = None
    hint: str | None = None
    rules_off: tuple[RuleOff, ...] = ()
    pages: tuple[PageReport, ...] = ()

    def findings(self) -> Iterator[Finding]:
        """Every finding of every page."""
        for page in self.pages:
            yield from page.findings


class Counts(msgspec.Struct, frozen=True, kw_only=True):
    """Totals over the files. Findings that are waived, or known from before, are counted apart from their level."""

    files: int
    unreadable: int
    error: int
    warning: int
    note: int
    not_checked: int
    waived: int
    known: int

    @classmethod
    def over(cls, files: Sequence[FileReport]) -> Counts:
        """The totals over the files."""
        found = [finding for file in files for finding in file.findings()]
        open_levels = [finding.level for finding in found if finding.open]
        return cls(
            files=len(files),
            unreadable=sum(file.status == "unreadable" for file in files),
            error=open_levels.count(Level.ERROR),
            warning=open_levels.count(Level.WARNING),
            note=open_levels.count(Level.NOTE),
            not_checked=sum(len(page.not_checked) for file in files for page in file.pages),
            waived=sum(finding.waived is not None for finding in found),
            known=sum(finding.waived is None and finding.known is not None for finding in found),
        )


class PluginUse(msgspec.Struct, frozen=True):
    """A plug-in that took part."""

    name: str
    version: str


class Tool(msgspec.Struct, frozen=True):
    """The program and its plug-ins, so that a report can be made again."""

    name: str
    version: str
    plugins: tuple[PluginUse, ...] = ()


class ProfileUse(msgspec.Struct, frozen=True):
    """The profile the files were judged by."""

    name: str
    digest: str


class SettingUse(msgspec.Struct, frozen=True):
    """A setting's value in force and its default, with their units, as people read them."""

    name: str
    value: str
    default: str


class RuleUse(msgspec.Struct, frozen=True, kw_only=True):
    """A rule that can judge, with the level and settings that the profile gives it."""

    id: str
    group: str
    level: Literal["error", "warning", "note", "off"]
    settings: tuple[SettingUse, ...] = ()


class HeldFinding(msgspec.Struct, frozen=True, kw_only=True):
    """A finding as a baseline holds it: enough to know it again, and for a person to find it.

    Fingerprints differ within a file.

    ``path`` is written from the folder of the baseline, with ``/``. ``bounds_mm`` are coarse.
    """

    path: str
    page: int
    rule: str
    subject: str | None
    layers: tuple[str, ...]
    bounds_mm: tuple[float, float, float, float] | None
    fingerprint: str


class BaselineUse(msgspec.Struct, frozen=True, kw_only=True):
    """The baseline that findings were held against: how many it holds, and those that this run looked for in vain."""

    path: str
    held: int
    not_found: tuple[HeldFinding, ...] = ()


class Report(msgspec.Struct, frozen=True, kw_only=True):
    """The whole answer. Same input, same bytes: nothing that varies from run to run."""

    format: Literal["artwork-preflight report"] = FORMAT_NAME
    version: Literal[1] = FORMAT_VERSION
    tool: Tool
    profile: ProfileUse
    rules: tuple[RuleUse, ...] = ()
    files: tuple[FileReport, ...]
    counts: Counts
    baseline: BaselineUse | None = None

    @classmethod
    def of(
        cls,
        tool: Tool,
        profile: ProfileUse,
        files: tuple[FileReport, ...],
        rules: tuple[RuleUse, ...] = (),
        baseline: BaselineUse | None = None,
    ) -> Report:
        """A report with its totals counted."""
        counts = Counts.over(files)
        return cls(tool=tool, profile=profile, rules=rules, files=files, counts=counts, baseline=baseline)


class StepDrawing(msgspec.Struct, frozen=True, kw_only=True):
    """The cut contours of one step as SVG path data in mm, for drawing over the artwork."""

    step: str
    paths: tuple[str, ...]


class Drawing(msgspec.Struct, frozen=True, kw_only=True):
    """A picture of one page and its cut contours. ``picture`` is a ``data:`` URI or None if there is none."""

    page: int
    size_mm: tuple[float, float]
    picture: str | None
    steps: tuple[StepDrawing, ...] = ()


Drawings = Callable[[str], tuple[Drawing, ...]]
"""Makes the drawings of the file with the given ``path`` when a renderer asks for them."""


class Renderer:
    """Turns a report into the bytes of one format. Subclass, set ``format`` and ``suffix``, register the class.

    ``format`` is the name ``--format`` takes; ``suffix`` the file name ending ``--report`` takes, with its
    dot, or None if the format is never told by a suffix. ``rules`` are the rules in use by id, for
    renderers that show their pages; ``fail_on`` is the level from which findings fail the run, for renderers that tell what passed.
    """

    format: str
    suffix: str | None = None
    fail_on: Level = Level.ERROR

    def __init__(self, rules: Mapping[str, type[Rule]] | None = None) -> None:
        self.rules: Mapping[str, type[Rule]] = rules or {}

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The whole document. Everything that comes from a file is escaped."""
        raise NotImplementedError
