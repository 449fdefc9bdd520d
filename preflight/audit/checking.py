"""One file of an audit in, its answer out. Knows no process and no store."""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

import msgspec

from preflight.engine import Checked, too_large
from preflight.readers.addresses import below, path_of
from preflight.readers.errors import Unreadable
from preflight.reports.report import Counts, FileReport
from preflight.rule import Finding, Level
from preflight.waiver_file import SUFFIX

from .judges import Judge, Judges
from .messages import Answer, FoundFault, Name, Setup, Task
from .pictures import picture_of
from .source import Away, Source, source_of

__all__ = ["Checker", "unanswered"]


class Checker:
    """Checks the files of one audit, one after the other.

    Raises
    ------
    SourceError, ProfileError, ChoiceError, PluginError
        The audit cannot be done.
    """

    def __init__(self, setup: Setup) -> None:
        self._setup = setup
        self._source = source_of(setup.root)
        self._judges = Judges(setup, self._source)
        self._judges.general()  # what is wrong with the profile is told before the first file

    def answer(self, task: Task) -> Answer:
        """What is known of the file."""
        judge = self._judges.of(task.path)
        try:
            return self._answer(task, judge)
        except Away as problem:
            return unanswered(msgspec.structs.replace(task, stamp=""), problem.what, problem.mend)
        except Unreadable as problem:
            return unanswered(task, problem.what, problem.mend)
        except MemoryError:  # beside the check itself
            short = too_large()
            return unanswered(task, short.what, short.mend, self._setup.memory_told)

    def _answer(self, task: Task, judge: Judge) -> Answer:
        """What is known of the file.

        Raises
        ------
        Unreadable
            It cannot be had.
        MemoryError
        """
        data = self._source.read(task.path, judge.engine.limits.file_size)
        stamp = (
            task.stamp if self._source.stamp(task.path) == task.stamp else ""
        )  # "": changed under our hands
        if task.known is not None and task.known == hashlib.sha256(data).hexdigest():
            return Answer(task.path, stamp, same=True)
        checked = judge.engine.check_bytes(data, task.path, self._source.folder(task.path))
        answer = _answer(task.path, stamp, checked, tuple(_beside(self._source, task.path, checked)))
        if checked.short_of_memory:
            answer = msgspec.structs.replace(answer, by_limit=self._setup.memory_told)
        return msgspec.structs.replace(answer, page=_page(judge, checked)) if task.page else answer


def unanswered(task: Task, reason: str, mend: str, by_limit: str | None = None) -> Answer:
    """The answer to a file that could not be looked into."""
    report = FileReport(
        path=task.path, sha256=None, format=None, status="unreadable", reason=reason, hint=mend or None
    )
    return Answer(
        path=task.path,
        stamp=task.stamp,
        status="unreadable",
        reason=reason,
        hint=mend or None,
        report=_packed(report),
        by_limit=by_limit,
    )


def _answer(path: str, stamp: str, checked: Checked, beside: tuple[tuple[str, str], ...]) -> Answer:
    report = checked.report
    counts = Counts.over([report])
    return Answer(
        path=path,
        stamp=stamp,
        sha256=report.sha256,
        format=report.format,
        status=report.status,
        reason=report.reason,
        hint=report.hint,
        report=_packed(report),
        pages=len(report.pages),
        counts=(counts.error, counts.warning, counts.note, counts.not_checked, counts.waived),
        findings=tuple(map(_kept, report.findings())),
        names=tuple(sorted(set(_names(checked)))),
        beside=beside,
        picture=picture_of(checked),
    )


def _page(judge: Judge, checked: Checked) -> bytes:
    renderer = judge.engine.plugins.renderers["html"](judge.engine.plugins.rules)
    return renderer.render(judge.engine.report([checked]), lambda _: checked.drawings())


def _packed(report: FileReport) -> bytes:
    return zlib.compress(msgspec.json.encode(report), 6)


def _kept(finding: Finding) -> FoundFault:
    measured = finding.measured
    return FoundFault(
        page=finding.page,
        rule=finding.rule,
        level=str(Level(finding.level)),
        waived=finding.waived,
        message=finding.message,
        hint=finding.hint,
        bounds_mm=finding.bounds_mm,
        measured=None if measured is None else measured.value,
        limit=None if measured is None else measured.limit,
        unit=None if measured is None else measured.unit,
        fingerprint=finding.fingerprint,
    )


def _names(checked: Checked) -> Iterator[Name]:
    for job in checked.jobs:
        artwork = job.artwork
        yield from (Name("spot", spot.name) for spot in artwork.spots)
        yield from (Name("layer", layer.name) for layer in artwork.layers if layer.name)
        yield from (Name("step", step) for step in set(job.cuts.steps))


def _beside(source: Source, path: str, checked: Checked) -> Iterator[tuple[str, str]]:
    """The files of the artwork's own folder that its answer rests on, each with its stamp, or that there is none."""
    folder = source.folder(path)
    if folder is None:
        return
    here = PurePosixPath(path)
    linked = {one.linked for job in checked.jobs for one in job.artwork.objects if one.linked}
    names = {here.stem + SUFFIX, *(name for address in linked for name in _named(folder, address))}
    for name in sorted(names):
        yield name, source.stamp(str(here.parent / name)) or ""


def _named(folder: Path, address: str) -> Iterator[str]:
    """The path of a linked file, where it lies below the folder: nothing else was opened, and nothing else is asked for."""
    try:
        path = path_of(address)
    except ValueError:  # told in the report
        return
    if path and below(folder, path) is not None:
        yield path
