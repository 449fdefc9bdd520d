"""A run held against a baseline: what it holds, what is no longer found, what to write. Knows neither git nor reports."""

from __future__ import annotations

import os
import unicodedata
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

import msgspec

from preflight.reports.report import BaselineUse, FileReport, HeldFinding

from .matching import FAILED, can_be_held, held, marked, matched
from .moved import moved

__all__ = ["Baseline", "Compared"]


class Compared(msgspec.Struct, frozen=True):
    """A run held against a baseline.

    ``reports`` are those of the run, the findings that the baseline holds marked. ``moved`` tells which file is taken for which that
    the baseline knows and that is not there any more, by the paths the baseline writes. ``kept`` are the findings of the baseline without
    those that were looked for in vain, ``not_found``; ``fresh`` is what a baseline written anew holds.
    """

    reports: tuple[FileReport, ...]
    moved: Mapping[str, str]
    kept: tuple[HeldFinding, ...]
    not_found: tuple[HeldFinding, ...]
    fresh: tuple[HeldFinding, ...]


class Baseline:
    """Findings held in a file.

    Parameters
    ----------
    path : of the file; those it holds are written from its folder.
    findings : what it holds.
    """

    def __init__(self, path: Path, findings: Sequence[HeldFinding] = ()) -> None:
        self.path = path
        self._folder = path.absolute().parent.resolve()
        self._by_file: dict[str, list[HeldFinding]] = defaultdict(list)
        for one in findings:
            self._by_file[_key(one.path)].append(one)
        self.findings = tuple(findings)

    def compared(self, reports: Sequence[FileReport], rules: Collection[str]) -> Compared:
        """The run's reports held against what the baseline holds.

        What is held of a file that was not read, or of a rule that did not judge it, is neither found nor looked for in vain.

        Parameters
        ----------
        rules : ids of all rules there are.
        """
        names = {report.path: self._written(report.path) for report in reports}
        run = {_key(name) for name in names.values()}
        gone = {
            key: found
            for key, found in self._by_file.items()
            if key not in run and not os.path.exists(self._folder / found[0].path)  # noqa: PTH110 -- whatever the file writes is no error
        }
        strangers = [
            report
            for report in reports
            if report.status == "checked" and _key(names[report.path]) not in self._by_file
        ]
        taken = moved(strangers, gone)
        kept = [
            one for key, found in self._by_file.items() if key not in run and key not in gone for one in found
        ]
        fresh = list(kept)
        not_found = [one for key in gone.keys() - set(taken.values()) for one in gone[key]]
        told = []
        for report in reports:
            name = names[report.path]
            own = self._by_file.get(_key(name)) or gone.get(taken.get(report.path, ""), [])
            one = _Looked.at(report, name, own, rules)
            told.append(one.report)
            kept += one.found + one.not_looked_for
            not_found += one.not_found
            fresh += one.fresh + one.not_looked_for
        return Compared(
            reports=tuple(told),
            moved={names[path]: gone[key][0].path for path, key in taken.items()},
            kept=_once(kept),
            not_found=tuple(
                sorted(_once(not_found), key=lambda one: (one.path, one.page, one.rule, one.fingerprint))
            ),
            fresh=_once(fresh),
        )

    def use(self, not_found: Sequence[HeldFinding] = ()) -> BaselineUse:
        """What a report tells of the baseline."""
        return BaselineUse(path=self.path.as_posix(), held=len(self.findings), not_found=tuple(not_found))

    def _written(self, shown: str) -> str:
        """A file's path as the baseline writes it: from its folder, with ``/``."""
        path = Path(shown).absolute()
        # Folders may be reached by links; the name at the end stays what the file is called here.
        real = path.parent.resolve() / path.name
        try:
            return Path(os.path.relpath(real, self._folder)).as_posix()
        except ValueError:  # on another drive of Windows
            return real.as_posix()


def _once(findings: Sequence[HeldFinding]) -> tuple[HeldFinding, ...]:
    """The findings, each once: a file may be named in two ways."""
    return tuple({(one.path, one.fingerprint): one for one in findings}.values())


def _key(path: str) -> str:
    """What two spellings of a path have in common: macOS parts letters from their accents, Windows knows no capitals."""
    return os.path.normcase(unicodedata.normalize("NFC", path))


class _Looked(msgspec.Struct, frozen=True):
    """One file held against what is held of it; the lists are parts of a new baseline."""

    report: FileReport
    found: list[HeldFinding]
    not_found: list[HeldFinding]
    not_looked_for: list[HeldFinding]
    fresh: list[HeldFinding]

    @classmethod
    def at(cls, report: FileReport, name: str, own: Sequence[HeldFinding], rules: Collection[str]) -> _Looked:
        """Hold a file's findings against its own part of the baseline."""
        if report.status == "unreadable":
            return cls(report, [], [], list(own), [])
        findings = list(report.findings())
        failed = {one.ref for finding in findings if finding.rule == FAILED for one in finding.objects}
        judged = set(rules) - {one.rule for one in report.rules_off} - failed
        pairs = matched(findings, own)
        found, not_found, not_looked_for = [], [], []
        used = set(pairs.values())
        for index, one in enumerate(own):
            if index in used:
                found.append(msgspec.structs.replace(one, path=name))
            elif one.rule in judged:
                not_found.append(one)
            else:
                not_looked_for.append(msgspec.structs.replace(one, path=name))
        return cls(
            marked(report, pairs, "baseline"),
            found,
            not_found,
            not_looked_for,
            [held(finding, name) for finding in findings if can_be_held(finding)],
        )
