"""What a run does about findings known before: ends it where a baseline or git cannot be had. Knows no options."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import msgspec

from preflight.output import fail, refuse_irregular, tell, write
from preflight.reports.words import counted

from .baseline import Baseline
from .baseline_file import BaselineError, read, written

if TYPE_CHECKING:
    from preflight.engine import Checked, Engine
    from preflight.reports.report import BaselineUse

__all__ = ["RunBaseline", "held_against_earlier", "opened"]


class RunBaseline:
    """The baseline of a run, and how it is written in the end.

    Parameters
    ----------
    writing : ``tighten`` takes out what is no longer found, ``renew`` takes in what is new as well; None leaves the file alone.
    """

    def __init__(self, baseline: Baseline, writing: Literal["tighten", "renew"] | None) -> None:
        self._baseline = baseline
        self._writing = writing

    def held_against(self, engine: Engine, checked: Sequence[Checked]) -> tuple[list[Checked], BaselineUse]:
        """The files of the run, with the findings marked that the baseline holds; it is written if it is to be."""
        reports, rules = [one.report for one in checked], list(engine.plugins.rules)
        baseline = self._baseline
        compared = baseline.compared(reports, rules)
        for path, earlier in compared.moved.items():
            tell(
                f"{path} is taken for {earlier}, which {baseline.path} holds and which is not there any more"
            )
        if self._writing is not None:
            baseline = Baseline(baseline.path, compared.fresh if self._writing == "renew" else compared.kept)
            self._write(baseline)
            compared = baseline.compared(reports, rules)
        marked = [
            msgspec.structs.replace(one, report=report)
            for one, report in zip(checked, compared.reports, strict=True)
        ]
        return marked, baseline.use(compared.not_found)

    def _write(self, baseline: Baseline) -> None:
        data = written(baseline.findings)
        path, holds = baseline.path, f"it holds {counted(len(baseline.findings), 'finding')}"
        if path.is_file() and path.read_bytes() == data:
            tell(f"{path} stays as it is: {holds}")
            return
        write(path, data)
        fewer = len(self._baseline.findings) - len(baseline.findings)
        taken = f"{counted(fewer, 'finding')} taken out, " if self._writing == "tighten" and fewer else ""
        tell(f"wrote {path}: {taken}{holds}")


def opened(path: Path, tighten: bool, renew: bool) -> RunBaseline:
    """The baseline in a file, to be written as said in the end; one that is not there yet is written anew."""
    if (tighten or renew) and not refuse_irregular(path).exists():
        if not path.absolute().parent.is_dir():
            fail(f"{path}: there is no folder {path.absolute().parent}; make it first")
        return RunBaseline(Baseline(path), "renew")
    try:
        return RunBaseline(Baseline(path, read(path)), "renew" if renew else "tighten" if tighten else None)
    except BaselineError as error:
        if not renew or not error.broken:
            fail(str(error))
        tell(f"{path} could not be read and is written anew, with the files of this run alone")
        return RunBaseline(Baseline(path), "renew")


def held_against_earlier(engine: Engine, since: str | None, checked: Sequence[Checked]) -> list[Checked]:
    """The files of a run, with the findings marked that their versions in git have as well.

    Parameters
    ----------
    since : a commit, branch or tag; None for the one that a run of hooks says it begins at, else for the commit that the next one
        comes after.
    """
    from preflight.profile import ProfileError

    from .earlier import Earlier
    from .git import GitError

    # Documented by pre-commit: what --from-ref says, or the commit that a push begins at. HEAD has all changes then.
    earlier = Earlier(engine, since or os.environ.get("PRE_COMMIT_FROM_REF"))
    marked = []
    for one in checked:
        file = Path(one.report.path)
        try:
            held, unread = earlier.held_against(one, file)
        except ProfileError as error:  # a file that the profile names, first needed for the earlier version
            fail(str(error))
        except GitError as error:
            option = "--changed-only" if since is None else "--changed-since"
            fail(
                f"{file} cannot be compared with its earlier version: {error}; mend that, or leave out {option}"
            )
        if unread is not None:
            tell(f"{file}: all counts as new, for its earlier version could not be read: {unread}")
        marked.append(held)
    return marked
