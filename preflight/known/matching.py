"""Which findings of a file are those that were held before. Knows no file and no report."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Iterator, Mapping, Sequence
from functools import partial

import msgspec

from preflight.fingerprints import layers_of
from preflight.reports.report import FileReport, HeldFinding
from preflight.rule import Finding, Known

__all__ = ["can_be_held", "held", "marked", "matched"]

DECIMALS = 1
"""Of places in mm, as they are held: finer than any two faults are told apart by."""

WITHIN = 0.5
"""mm. Each side of a finding's bounds may lie this far from where it was held."""

FAILED = "rule-failed"
"""What is never held: it tells of a fault of the rule, not of the file."""

Box = tuple[float, float, float, float]
Stage = Callable[[Mapping[int, Finding], Mapping[int, HeldFinding]], dict[int, int]]


def held(finding: Finding, path: str) -> HeldFinding:
    """What is held of a finding in the file of that path."""
    box = _finite(finding.bounds_mm)
    return HeldFinding(
        path=path,
        page=finding.page,
        rule=finding.rule,
        subject=finding.subject,
        layers=layers_of(finding),
        bounds_mm=None if box is None else _rounded(box),
        fingerprint=finding.fingerprint,
    )


def marked(report: FileReport, pairs: Collection[int], known: Known) -> FileReport:
    """A file's report with the findings at those indices known from before."""
    if not pairs:
        return report
    pages, first = [], 0
    for page in report.pages:
        findings = tuple(
            msgspec.structs.replace(finding, known=known) if index in pairs else finding
            for index, finding in enumerate(page.findings, first)
        )
        first += len(findings)
        pages.append(msgspec.structs.replace(page, findings=findings))
    return msgspec.structs.replace(report, pages=tuple(pages))


def _finite(box: Box | None) -> Box | None:
    return box if box is not None and all(map(math.isfinite, box)) else None


def _rounded(box: Box) -> Box:
    x0, y0, x1, y1 = (round(value, DECIMALS) + 0.0 for value in box)
    return x0, y0, x1, y1


def matched(findings: Sequence[Finding], before: Sequence[HeldFinding]) -> dict[int, int]:
    """Which of the findings of one file were held before, by their indices; each of those held is used once.

    First those of the same rule and subject, on the same page, at the same place: each side within `WITHIN`, the same layers and the
    nearest first; by layers where there is no place. What is left is matched by its fingerprint, for a fault that became larger or
    smaller where it was; then by place on any page, as pages are put in and taken out.

    Parameters
    ----------
    findings : of one file, with their fingerprints; those that do not count are passed over.
    before : of the same file; paths are not looked at.
    """
    now = {index: one for index, one in enumerate(findings) if can_be_held(one)}
    left = dict(enumerate(before))
    pairs: dict[int, int] = {}
    stages: tuple[Stage, ...] = (
        partial(_by_place, same_page=True),
        _by_fingerprint,
        partial(_by_place, same_page=False),
    )
    for found in stages:
        more = found(now, left)
        pairs |= more
        for index, other in more.items():
            del now[index], left[other]
    return pairs


def can_be_held(finding: Finding) -> bool:
    """Whether a finding counts and tells of a fault of the file."""
    return finding.open and finding.rule != FAILED


def _by_fingerprint(findings: Mapping[int, Finding], before: Mapping[int, HeldFinding]) -> dict[int, int]:
    own = {one.fingerprint: index for index, one in before.items()}
    return {index: own[one.fingerprint] for index, one in findings.items() if one.fingerprint in own}


def _by_place(
    findings: Mapping[int, Finding], before: Mapping[int, HeldFinding], *, same_page: bool
) -> dict[int, int]:
    """Pairs of what stands at one place, the nearest first."""
    if not findings or not before:
        return {}
    # Those held at one place with the same layers stand together: of many alike only one is looked at.
    cells: dict[Hashable, dict[tuple[Box | None, tuple[str, ...]], list[int]]] = defaultdict(dict)
    for index, one in before.items():
        for cell in _cells(
            one.rule, one.page if same_page else None, one.subject, one.bounds_mm, one.layers, 0
        ):
            cells[cell].setdefault((one.bounds_mm, one.layers), []).append(index)
    candidates: list[tuple[bool, float, int, Hashable, tuple[Box | None, tuple[str, ...]]]] = []
    for index, finding in findings.items():
        box, layers = _finite(finding.bounds_mm), layers_of(finding)
        page = finding.page if same_page else None
        for cell in _cells(finding.rule, page, finding.subject, box, layers, 1):
            for place, _ in cells.get(cell, {}).items():
                apart = _apart(box, place[0]) if finding.subject is None else 0.0
                if apart <= WITHIN + 1e-9:
                    candidates.append((place[1] != layers, apart, index, cell, place))
    pairs: dict[int, int] = {}
    for _, _, index, cell, place in sorted(candidates, key=lambda one: one[:3]):
        if index not in pairs and cells[cell][place]:
            pairs[index] = cells[cell][place].pop(0)
    return pairs


def _cells(
    rule: str, page: int | None, subject: str | None, box: Box | None, layers: tuple[str, ...], around: int
) -> Iterator[Hashable]:
    """Where what may be the same is kept: cells of `WITHIN`, so that the next ones hold all that is near enough."""
    if subject is not None:
        yield rule, page, subject
    elif box is None:
        yield rule, page, layers
    else:
        column, row = (math.floor((box[side] + box[side + 2]) / 2 / (2 * WITHIN)) for side in (0, 1))
        for x in range(column - around, column + around + 1):
            for y in range(row - around, row + around + 1):
                yield rule, page, x, y


def _apart(box: Box | None, other: Box | None) -> float:
    """How far apart two boxes are at the side where they differ most, mm; 0 where neither has a place."""
    if box is None or other is None:
        return 0.0
    return max(abs(a - b) for a, b in zip(box, other, strict=True))
