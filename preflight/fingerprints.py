"""A finding's fingerprint: the same fault gets the same one after a move, a re-save or an unrelated edit."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator

import msgspec

from preflight.rule import Finding

__all__ = ["fingerprinted"]

GRID = 0.5
"""mm. Places are rounded this coarsely, so that re-saving with fewer decimals changes nothing."""


def fingerprinted(findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings of one page with their fingerprints, in the order given.

    Made from the rule, the names of the layers concerned and the coarse place on the page: not from the
    file's path, object ids, order, line numbers or other findings. Findings that agree in all of these are
    numbered.
    """
    seen: Counter[str] = Counter()
    for finding in findings:
        layers = sorted({reference.layer or "" for reference in finding.objects})
        place = [round(value / GRID) for value in finding.bounds_mm or ()]
        key = "\x1f".join([finding.rule, str(finding.page), *layers, *map(str, place)])
        seen[key] += 1
        digest = hashlib.sha256(f"{key}\x1f{seen[key]}".encode()).hexdigest()
        yield msgspec.structs.replace(finding, fingerprint=digest[:32])
