"""A finding's fingerprint: the same fault gets the same one after a move, a re-save or an unrelated edit."""

from __future__ import annotations

import hashlib
import math
from collections import Counter
from collections.abc import Iterable, Iterator

import msgspec

from preflight.rule import Finding

__all__ = ["fingerprinted", "layers_of"]

CELL = 1.0
"""mm. A place counts by the cell that its middle lies in, so that saving again with fewer decimals changes nothing."""

EDGE = 0.3325
"""mm. Where the edges of cells lie: away from round numbers, from eighths of a millimetre and from sixteenths of an inch,
where the middles of things that people draw lie."""


def fingerprinted(findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings of one page with their fingerprints, in the order given.

    Made from the rule, the page and what the finding is about: its subject, where it has one; else its coarse place; else the
    names of the layers. Not from the file's path, object ids, order, line numbers or other findings. Findings that agree in all of
    these are numbered, so that of several alike it matters only how many there are.
    """
    seen: Counter[tuple[str, ...]] = Counter()
    for finding in findings:
        key = (finding.rule, str(finding.page), *_about(finding))
        seen[key] += 1
        digest = hashlib.sha256("\x1f".join([*key, str(seen[key])]).encode("utf-8", "backslashreplace"))
        yield msgspec.structs.replace(finding, fingerprint=digest.hexdigest()[:32])


def _about(finding: Finding) -> tuple[str, ...]:
    if finding.subject is not None:
        return "subject", finding.subject
    box = finding.bounds_mm
    if box is None or not all(map(math.isfinite, box)):
        return "layers", *layers_of(finding)
    middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return "place", *(str(math.floor((value - EDGE) / CELL)) for value in middle)


def layers_of(finding: Finding) -> tuple[str, ...]:
    """The names of the layers that a finding concerns, each once, sorted."""
    return tuple(sorted({reference.layer for reference in finding.objects if reference.layer is not None}))
