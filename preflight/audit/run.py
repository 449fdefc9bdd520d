"""One run of an audit: what is there, what of it is due, who answers, where answers go. Knows no artwork."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import closing
from pathlib import Path, PurePosixPath
from typing import Protocol

import msgspec

from preflight.whole_files import write_whole

from .checking import unanswered
from .judges import Judge, Judges
from .messages import Answer, Setup, Task
from .own_folder import PICTURES, STORE, refuse_what_is_not_ours
from .source import Found, Source, source_of
from .store import FileRow, Judgement, Store

__all__ = ["Outcome", "Progress", "Workers", "mark_told", "run"]


class Workers(Protocol):
    """Those who answer: on this machine or on others."""

    def answers(self, tasks: Iterable[Task]) -> Iterator[Answer]:
        """The answers in the order in which they come.

        Raises
        ------
        WorkerError
        """
        ...


class Progress(Protocol):
    """Who is told how far the work is."""

    def begin(self, there: int, due: int) -> None:
        """So many files there are, and so many of them have to be looked at."""
        ...

    def answered(self, answer: Answer) -> None:
        """One more is done."""
        ...


class Outcome(msgspec.Struct, frozen=True):
    """How a run went: files there are, those looked at, those that are there no more, those that profiles leave out."""

    files: int
    answered: int
    gone: int
    left_out: int


def run(setup: Setup, into: Path, workers: Workers, progress: Progress, limits: Collection[str]) -> Outcome:
    """Look at every file that is due, and keep each answer as it comes. Ended at any moment, the next run goes on there.

    Parameters
    ----------
    into : the audit's own folder.
    limits : what each file is allowed, each limit in words; files that needed more are due again when it changes.

    Raises
    ------
    SourceError, StoreError, WorkerError, ProfileError, ChoiceError, PluginError
        The work cannot be done; what was answered until then is kept.
    OSError, sqlite3.Error
        The audit's own folder, or its store, cannot be written to any more.
    """
    refuse_what_is_not_ours(into, setup.root)
    source = source_of(setup.root)
    judges = Judges(setup, source)
    readers = judges.general().engine.plugins.readers
    suffixes = sorted({suffix for reader in readers for suffix in reader.suffixes})
    found = list(source.walk(suffixes, leave_out=into))
    there = {one.path: one for one in found if not judges.leave_out(one.path)}
    judged = {path: judges.of(path) for path in there}
    with closing(Store(into / STORE, setup.root)) as store:
        before = store.rows()
        due = [
            there[path]
            for path in sorted(there)
            if path not in before or _due(there[path], before[path], judged[path], source, limits)
        ]
        gone = sorted(before.keys() - there.keys())
        progress.begin(len(there), len(due))
        if due or gone or not store.settled:
            store.begin([(one.path, one.month) for one in due], gone, _judgements(judges, setup))
            for answer in _answers(due, before, judged, source, workers):
                store.keep(answer, judged[answer.path].digest, _picture_kept(into, answer))
                progress.answered(answer)
            store.finish()
            _drop_pictures(into, store.pictures())
    return Outcome(len(there), len(due), len(gone), len(found) - len(there))


def mark_told(setup: Setup, into: Path) -> None:
    """Note that all files which tell of the last run are written: killed before that, they are written the next time.

    Raises
    ------
    StoreError
    """
    with closing(Store(into / STORE, setup.root)) as store:
        store.mark_told()


def _due(found: Found, row: FileRow, judge: Judge, source: Source, limits: Collection[str]) -> bool:
    """Whether the answer that is there does not count any more."""
    return (
        row.waiting
        or row.stamp != found.stamp
        or row.judged != judge.digest
        or (row.by_limit is not None and row.by_limit not in limits)
        or not _same_beside(row, source)
    )


def _same_beside(row: FileRow, source: Source) -> bool:
    here = PurePosixPath(row.path).parent
    return all((source.stamp(str(here / name)) or "") == stamp for name, stamp in row.beside)


def _answers(
    due: Sequence[Found],
    before: dict[str, FileRow],
    judged: dict[str, Judge],
    source: Source,
    workers: Workers,
) -> Iterator[Answer]:
    for one in due:
        if one.problem is not None:
            yield unanswered(Task(one.path, one.stamp), *one.problem)
    tasks = [
        Task(one.path, one.stamp, _known(before.get(one.path), judged[one.path], source))
        for one in due
        if one.problem is None
    ]
    if tasks:
        with closing(workers.answers(tasks)) as answers:  # type: ignore[type-var]
            yield from answers


def _known(row: FileRow | None, judge: Judge, source: Source) -> str | None:
    """The content whose answer still counts, should the file turn out to have it."""
    if row is None or row.judged != judge.digest or row.by_limit is not None:
        return None
    return row.sha256 if _same_beside(row, source) else None


def _judgements(judges: Judges, setup: Setup) -> Iterator[Judgement]:
    for judge in judges.all():
        engine = judge.engine
        plugins = ", ".join(f"{use.name} {use.version}" for use in engine.plugins.uses)
        chosen = " ".join(
            [*(f"--select {name}" for name in setup.select), *(f"--ignore {name}" for name in setup.ignore)]
        )
        profile = engine.profile
        yield Judgement(judge.digest, engine.plugins.version, plugins, profile.name, profile.digest, chosen)


def _picture_kept(into: Path, answer: Answer) -> str | None:
    """Name of the file that the answer's picture is in, told by its content, so that writing it twice does no harm."""
    if answer.picture is None:
        return None
    suffix, content = answer.picture
    digest = hashlib.sha256(content).hexdigest()
    path = into / PICTURES / digest[:2] / (digest + suffix)
    if not path.is_file():
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, [content])
    return path.relative_to(into).as_posix()


def _drop_pictures(into: Path, kept: set[str]) -> None:
    """Take away pictures that no answer has any more."""
    for path in (into / PICTURES).glob("*/*"):
        if path.relative_to(into).as_posix() not in kept:
            path.unlink()
