"""Which files are those that a baseline knows under another path. Knows no disk and no git."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction

from preflight.reports.report import FileReport, HeldFinding

from .matching import can_be_held

__all__ = ["moved"]

SHARE = Fraction(1, 2)
"""Of the findings held of a file, those that must be found in another for it to be the same file, moved."""

MOST_ALIKE = 100
"""Files that hold the same finding, beyond which it says nothing about which of them it is, unless the name is the same."""


def moved(strangers: Sequence[FileReport], gone: Mapping[str, Sequence[HeldFinding]]) -> dict[str, str]:
    """The path of each file that was moved, with the key under which it was known; each is taken once.

    A file is taken for another that is not there any more where at least `SHARE` of what is held of that one is found in it. The same
    name in another folder goes first, then the greater share.

    Parameters
    ----------
    strangers : files of the run of which nothing is held.
    gone : what is held of files that are not there any more, by any key.
    """
    by_fingerprint: dict[str, list[str]] = defaultdict(list)
    for key, found in gone.items():
        for one in found:
            by_fingerprint[one.fingerprint].append(key)
    candidates: list[tuple[bool, Fraction, str, str]] = []
    for report in strangers:
        own = _name(report.path)
        shared: Counter[str] = Counter()
        for fingerprint in {one.fingerprint for one in report.findings() if can_be_held(one)}:
            keys = by_fingerprint.get(fingerprint, ())
            shared.update(
                keys if len(keys) <= MOST_ALIKE else (key for key in keys if _name(gone[key][0].path) == own)
            )
        for key, number in shared.items():
            share = Fraction(number, len(gone[key]))
            if share >= SHARE:
                candidates.append((_name(gone[key][0].path) != own, -share, report.path, key))
    taken: dict[str, str] = {}
    used: set[str] = set()
    for *_, path, key in sorted(candidates):
        if path not in taken and key not in used:
            taken[path] = key
            used.add(key)
    return taken


def _name(path: str) -> str:
    return path.rpartition("/")[2]
