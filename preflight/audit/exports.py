"""All findings of an audit as JSON Lines and as CSV, for other programs. Knows no page."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import msgspec

from preflight.whole_files import write_whole

from .own_folder import CSV, JSON_LINES
from .reading import FindingLine, Reading

__all__ = ["exported", "write_exports"]


def exported(into: Path) -> bool:
    """Whether both files are there."""
    return (into / JSON_LINES).is_file() and (into / CSV).is_file()


def write_exports(reading: Reading, into: Path) -> None:
    """Write both files, each whole or not at all.

    Raises
    ------
    OSError
    """
    write_whole(into / JSON_LINES, (msgspec.json.encode(one) + b"\n" for one in reading.findings()))
    write_whole(into / CSV, _csv(reading.findings()))


_COLUMNS = [
    *("path", "page", "rule", "level", "waived", "message", "hint", "x0_mm", "y0_mm", "x1_mm", "y1_mm"),
    *("measured", "limit", "unit", "fingerprint"),
]


def _csv(lines: Iterator[FindingLine]) -> Iterator[bytes]:
    """RFC 4180, in UTF-8; the first line names the columns."""
    text = io.StringIO(newline="")
    rows = csv.writer(text)
    rows.writerow(_COLUMNS)
    for one in lines:
        told = map(_plain, (one.waived, one.message, one.hint))
        figures = (*(one.bounds_mm or (None,) * 4), one.measured, one.limit, one.unit, one.fingerprint)
        rows.writerow((_plain(one.path), one.page, one.rule, one.level, *told, *figures))
        if text.tell() > 1_000_000:
            yield _taken(text)
    yield _taken(text)


def _taken(text: io.StringIO) -> bytes:
    data = text.getvalue().encode("utf-8", "backslashreplace")
    text.seek(0)
    text.truncate()
    return data


def _plain(text: str | None) -> str | None:
    """A stranger's text that a spreadsheet takes for text: one that it would take for a formula has ``'`` in front."""
    return "'" + text if text and text[0] in "=+-@\t\r" else text
