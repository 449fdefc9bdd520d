"""The audit's own folder: the names in it, and that nothing of anybody else's is written over or taken away there."""

from __future__ import annotations

from pathlib import Path

from .store import StoreError

__all__ = ["CSV", "JSON_LINES", "OVERVIEW", "PICTURES", "REPORTS", "STORE", "refuse_what_is_not_ours"]

STORE = "audit.sqlite"
OVERVIEW = "overview.html"
JSON_LINES = "findings.jsonl"
CSV = "findings.csv"
PICTURES = "pictures"
"""Holds what belongs to an answer alone: what no answer has any more is taken away."""
REPORTS = "reports"
"""As `PICTURES`."""


def refuse_what_is_not_ours(into: Path, root: str) -> None:
    """See that the audit may write, and take away, in a folder.

    Raises
    ------
    StoreError
        It is the folder audited, whose pictures and reports would be audited next; or it holds something of a name that the
        audit writes, and no audit wrote it.
    """
    if into.resolve() == Path(root).resolve():
        raise StoreError(f"{into} is the folder that is audited; name another one for the audit with --into")
    if (into / STORE).exists():
        return
    for name in (OVERVIEW, JSON_LINES, CSV, PICTURES, REPORTS):
        if (into / name).exists():
            raise StoreError(
                f"{into / name} is there already, and no audit wrote it: it would be lost; name another folder with --into"
            )
