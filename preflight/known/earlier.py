"""Findings that the version of a file in git has as well: what a change did not bring. Knows no baseline."""

from __future__ import annotations

from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

import msgspec

from preflight.waiver_file import SUFFIX, waivers_in

from .git import Repository, top_and_path
from .matching import can_be_held, held, marked, matched

if TYPE_CHECKING:
    from preflight.engine import Checked, Engine

__all__ = ["Earlier"]


class Earlier:
    """Holds checked files against their versions in git, judged by the same engine.

    Parameters
    ----------
    engine : what checked the files.
    since : a commit, branch or tag; None for the commit that the next one comes after.
    """

    def __init__(self, engine: Engine, since: str | None) -> None:
        self._engine = engine
        self._since = since
        self._folders: dict[Path, tuple[Path, PurePosixPath]] = {}
        self._repositories: dict[Path, Repository] = {}

    def held_against(self, checked: Checked, file: Path) -> tuple[Checked, str | None]:
        """The file with the findings marked that its earlier version has as well; and why that could not be read, if so.

        Linked images of the earlier version are those that lie beside the file now.

        Parameters
        ----------
        file : where it lies.

        Raises
        ------
        GitError
        """
        if checked.report.status == "unreadable":
            return checked, None
        real = file.resolve()
        repository, path = self._in_repository(real)
        if not any(map(can_be_held, checked.report.findings())):
            return checked, None
        before = repository.before(path)
        if before is None:
            return checked, None
        waivers = before.path.with_name(before.path.stem + SUFFIX)
        held_back = waivers_in(repository.content_before(waivers) or b"", waivers.name)
        earlier = self._engine.check_bytes(before.content, checked.report.path, file.parent, held_back).report
        if earlier.status != "checked":
            return checked, earlier.reason
        old = [held(one, "") for one in earlier.findings() if can_be_held(one)]
        pairs = matched(list(checked.report.findings()), old)
        report = marked(checked.report, pairs, "earlier version")
        return msgspec.structs.replace(checked, report=report), None

    def _in_repository(self, file: Path) -> tuple[Repository, PurePosixPath]:
        """The repository of a file, and its path there; git is asked once for each folder and each repository."""
        if file.parent not in self._folders:
            self._folders[file.parent] = top_and_path(file.parent)
        top, folder = self._folders[file.parent]
        if top not in self._repositories:
            self._repositories[top] = Repository(top, self._since)
        return self._repositories[top], folder / file.name
