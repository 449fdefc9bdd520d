"""Why a file cannot be read, in words for the designer. Knows no file format and no report."""

from __future__ import annotations

__all__ = ["Unreadable"]


class Unreadable(Exception):  # noqa: N818 - the word every report and exit code uses
    """The file cannot be read at all: its own fault, or one of our limits.

    Attributes
    ----------
    what : what is wrong, a sentence without a full stop.
    place : where (``line 12``), or None where the whole file is meant.
    mend : what to do about it, a sentence.
    """

    def __init__(self, what: str, place: str | None = None, mend: str = "") -> None:
        super().__init__(what, place, mend)
        self.what = what
        self.place = place
        self.mend = mend

    def __str__(self) -> str:
        where = f" ({self.place})" if self.place else ""
        return f"{self.what}{where}. {self.mend}".strip()
