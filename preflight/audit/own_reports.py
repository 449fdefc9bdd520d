"""The report of each of the worst files of an audit, as a page of its own beside the overview. Knows no rule."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import msgspec

from preflight.whole_files import write_whole

from .messages import Task
from .own_folder import REPORTS
from .reading import FileLine, Reading
from .run import Workers

__all__ = ["make_own_reports", "own_report"]


def own_report(reading: Reading, path: str) -> str:
    """Where the report of a file lies or would lie, from the audit's own folder: another one for each answer, and where that is
    the same, for all that it rests on, which the page tells or draws as well: the limits in force, linked images.
    """
    told = msgspec.json.encode((path, *reading.rests_on(path)))
    digest = hashlib.sha256(told + b"\0" + reading.packed_report(path)).hexdigest()
    return f"{REPORTS}/{digest[:32]}.html"


def make_own_reports(reading: Reading, into: Path, workers: Workers, most: int) -> set[str]:
    """Make the reports of the worst files that are not there yet, and take away those that tell of no answer any more.

    Parameters
    ----------
    most : how many files have one at most.

    Returns
    -------
    The paths of the files that have one.

    Raises
    ------
    WorkerError, OSError
    """
    wanted = {one.path: own_report(reading, one.path) for one in _worst(reading, most)}
    (into / REPORTS).mkdir(exist_ok=True)
    kept = set(wanted.values())
    for old in (into / REPORTS).iterdir():
        if f"{REPORTS}/{old.name}" not in kept:
            old.unlink()
    missing = [path for path, name in wanted.items() if not (into / name).is_file()]
    tasks = [Task(path, "", page=True) for path in missing]
    with closing(workers.answers(tasks)) as answers:  # type: ignore[type-var]
        for answer in answers:
            if answer.page:
                write_whole(into / wanted[answer.path], [answer.page])
    return {path for path, name in wanted.items() if (into / name).is_file()}


def _worst(reading: Reading, most: int) -> Iterator[FileLine]:
    """The files in which most was found, the worst first."""
    found = reading.files("status = 'checked' AND error + warning + note > 0")
    ordered = sorted(found, key=lambda one: (-one.error, -one.warning, -one.note, one.path))
    yield from ordered[:most]
