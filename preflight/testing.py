"""For authors of rules: check a folder of tiny files against what stands beside them. Knows no rule.

Beside ``NAME.svg`` or ``NAME.pdf`` stands ``NAME.expected.json``: ``{"findings": [{"rule": …, "bounds_mm": [x0, y0, x1, y1],
"measured": {"value": …, "unit": …}, "points_mm": [[x, y], …], "level": …, "page": …}, …], "judged_by": […]}``. Every finding of the file must
be listed, whatever its rule; what is left out of an entry (all but ``rule``) is not compared. ``judged_by`` names the rules and
groups of rules that judge the file, all of them where it is left out. A ``preflight.toml`` in the folder, or above it, is the
profile.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import msgspec

from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import Profile, load
from preflight.rule import Finding, Measured

__all__ = ["FORMATS", "KINDS", "TOLERANCE", "Case", "cases", "mismatches", "missing_kinds"]

TOLERANCE = 0.02
"""mm (or whatever unit the value has): how far places and values may be from what is expected."""

FORMATS = (".pdf", ".svg")
"""Suffixes of the files that are cases. Two of one name in both formats share their expectation."""

KINDS = ("pass", "fail", "near-pass", "near-fail", "degenerate")
"""The kinds of file a rule needs, as its names begin."""


class Case(msgspec.Struct, frozen=True):
    """One file, the findings expected of it, and the rules or groups that judge it (none named: all do).

    ``name`` is for test ids.
    """

    path: Path
    expected: tuple[dict[str, Any], ...]
    judged_by: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Folder and file name."""
        return f"{self.path.parent.name}/{self.path.name}"


def cases(folder: Path) -> Iterator[Case]:
    """Every case in a folder and those below it, by name.

    Raises
    ------
    FileNotFoundError
        A file has no expectation beside it.
    """
    for path in sorted(path for path in folder.rglob("*") if path.suffix in FORMATS):
        told = msgspec.json.decode(path.with_suffix(".expected.json").read_bytes())
        yield Case(path, tuple(told["findings"]), tuple(told.get("judged_by", ())))


def missing_kinds(folder: Path) -> tuple[str, ...]:
    """Kinds of file, of `KINDS`, that the folder of a rule lacks."""
    stems = [path.stem for path in folder.glob("*") if path.suffix in FORMATS]
    return tuple(
        kind for kind in KINDS if not any(stem == kind or stem.startswith(f"{kind}-") for stem in stems)
    )


def mismatches(case: Case, profile: Profile | None = None, plugins: Plugins | None = None) -> list[str]:
    """What differs between the findings of a file and those expected; empty when nothing does.

    The profile is the one found upwards from the file, unless given.
    """
    plugins = plugins or Plugins()
    judged_by = _rules_of(case.judged_by, plugins)
    engine = Engine(profile or load(start=case.path.parent), plugins, select=judged_by)
    report = engine.check_file(case.path).report
    if report.status != "checked":
        return [f"unreadable: {report.reason}"]
    found = list(report.findings())
    wrong = []
    for expected in case.expected:
        match = next((one for one in found if not _differences(one, expected)), None)
        if match is None:
            wrong.append(f"expected and not found: {expected}; {_nearest(expected, found)}")
        else:
            found.remove(match)
    wrong += [f"found and not expected: {_shown(one)}" for one in found]
    return wrong


def _rules_of(named: Sequence[str], plugins: Plugins) -> list[str]:
    """Ids of the rules named by their id or their group, those of the engine left out, which always speak."""
    unknown = set(named) - set(plugins.rules) - {rule.group for rule in plugins.rules.values()}
    if unknown:
        raise ValueError(f"judged_by names no rule and no group: {', '.join(sorted(unknown))}")
    return [
        id_
        for id_, rule in plugins.rules.items()
        if not rule.by_engine and (id_ in named or rule.group in named)
    ]


def _nearest(expected: dict[str, Any], found: Sequence[Finding]) -> str:
    same = [one for one in found if one.rule == expected["rule"]]
    if not same:
        return "nothing of that rule was found"
    nearest = min((_differences(one, expected) for one in same), key=len)
    return "the nearest differs in " + "; ".join(nearest)


def _differences(finding: Finding, expected: dict[str, Any]) -> list[str]:
    if finding.rule != expected["rule"]:
        return [f"rule {finding.rule}"]
    wrong = []
    if "page" in expected and finding.page != expected["page"]:
        wrong.append(f"page {finding.page}")
    if "level" in expected and finding.level != expected["level"]:
        wrong.append(f"level {finding.level}")
    if "bounds_mm" in expected and not _close(finding.bounds_mm, expected["bounds_mm"]):
        wrong.append(f"bounds {finding.bounds_mm}")
    if "measured" in expected:
        wanted, got = expected["measured"], finding.measured
        if (wanted is None) != (got is None):
            wrong.append(f"measured {got}")
        elif wanted is not None and got is not None and not _same_measure(got, wanted):
            wrong.append(f"measured {got.value} {got.unit}")
    if "points_mm" in expected:
        wanted_points, points = expected["points_mm"], [list(point) for point in finding.points_mm]
        near = all(any(_close(point, wanted) for point in points) for wanted in wanted_points)
        if len(points) != len(wanted_points) or not near:
            wrong.append(f"points {points}")
    return wrong


def _same_measure(found: Measured, wanted: dict[str, Any]) -> bool:
    return _close([found.value], [wanted["value"]]) and found.unit == wanted.get("unit", found.unit)


def _close(found: Sequence[float] | None, wanted: Sequence[float] | None) -> bool:
    if found is None or wanted is None:
        return found is None and wanted is None
    return len(found) == len(wanted) and all(
        abs(one - other) <= TOLERANCE for one, other in zip(found, wanted, strict=True)
    )


def _shown(finding: Finding) -> str:
    measured = "" if finding.measured is None else f" ({finding.measured.value} {finding.measured.unit})"
    return f"{finding.rule} at {finding.bounds_mm}{measured}: {finding.message}"
