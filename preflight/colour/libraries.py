"""Named colours of a shop from a file: CSV, CxF3 (ISO 17972-1) or CxF/X-4 (ISO 17972-4). Knows no profile and no artwork.

Every colour becomes Lab D50 as the 2° observer sees it. Reflectance is added up for that light and observer, whatever they were
measured for; Lab and XYZ under another light are adapted (linear Bradford), and for another observer refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from preflight.colour.errors import ColourFileError
from preflight.colour.spaces import Triple

__all__ = ["Library", "LibraryColour", "Refused", "Tint", "problem_of", "read_library"]

LARGEST = 32 * 2**20
"""Bytes: some hundred thousand colours."""

_COLUMNS = ("name", "l", "a", "b")


class Tint(NamedTuple):
    """An ink on a share 0-1 of the paper as it was measured, Lab D50 for the 2° observer."""

    share: float
    lab: Triple


class LibraryColour(NamedTuple):
    """A colour by its name, Lab D50 for the 2° observer; of an ink its measured tints in rising order, the full one last."""

    name: str
    lab: Triple
    tints: tuple[Tint, ...] = ()


class Refused(NamedTuple):
    """A colour of a library that cannot be used, and why."""

    name: str
    reason: str


class Library(NamedTuple):
    """A file of named colours; ``name`` is the file's. ``unread`` tells what else it holds and is not read, a sentence each."""

    name: str
    colours: tuple[LibraryColour, ...]
    refused: tuple[Refused, ...] = ()
    unread: tuple[str, ...] = ()


def read_library(path: Path) -> Library:
    """Read a file of named colours; its content tells which kind it is.

    Raises
    ------
    ColourFileError
        The file cannot be read, is of neither kind, breaks off, or holds no colour that can be used.
    """
    try:
        if path.stat().st_size > LARGEST:
            raise ColourFileError(
                path, f"is larger than {LARGEST // 2**20} MB; split it, or leave out what is not needed"
            )
        data = path.read_bytes()
    except OSError as error:
        raise ColourFileError(path, f"cannot be read: {error.strerror or error}") from None
    if data.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<"):
        from preflight.colour.cxf import colours_of_cxf

        colours, refused, unread = colours_of_cxf(data, path)
    else:
        colours, refused, unread = list(_colours_of_csv(data, path)), [], []
    if not colours:
        why = [f"{one.name}: {one.reason}" for one in refused] + unread
        raise ColourFileError(path, "holds no colour that can be used" + (f": {why[0]}" if why else ""))
    return Library(path.name, tuple(colours), tuple(refused), tuple(unread))


def _colours_of_csv(data: bytes, path: Path) -> Iterator[LibraryColour]:
    """Rows of name, L, a and b below a line that names the columns, parted by commas, semicolons or tabs."""
    import csv
    import io

    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ColourFileError(
            path, f"is no text in UTF-8 (byte {error.start + 1}); save it as CSV in UTF-8"
        ) from None
    first = text.partition("\n")[0]
    parted_by = max(",;\t", key=first.count)
    rows = csv.reader(io.StringIO(text), delimiter=parted_by)
    columns = [column.strip().casefold() for column in next(rows, [])]
    missing = [name for name in _COLUMNS if name not in columns]
    if missing:
        raise ColourFileError(
            path,
            f"line 1 names no column {' and no column '.join(missing)}; begin the file with the line name,L,a,b",
        )
    places = [columns.index(name) for name in _COLUMNS]
    for row in rows:
        if any(cell.strip() for cell in row):
            try:
                yield _row(row, places, parted_by != ",")
            except ValueError as error:
                raise ColourFileError(path, f"line {rows.line_num} {error}") from None


def _row(row: list[str], places: list[int], decimal_comma: bool) -> LibraryColour:
    if len(row) <= max(places):
        raise ValueError(f"breaks off after {len(row)} values; write name, L, a and b")
    name, *numbers = (row[place].strip() for place in places)
    if not name:
        raise ValueError("has no name; give the colour one, or delete the line")
    values = []
    for column, text in zip(_COLUMNS[1:], numbers, strict=True):
        try:
            # A file parted by semicolons may write its decimals with commas.
            values.append(float(text.replace(",", ".") if decimal_comma else text))
        except ValueError:
            raise ValueError(f"has {text!r} for {column}, which is no number") from None
    lab = (values[0], values[1], values[2])
    problem = problem_of(lab)
    if problem is not None:
        raise ValueError(f"has {problem}")
    return LibraryColour(name, lab)


def problem_of(lab: Triple) -> str | None:
    """Why some Lab cannot be that of a surface; None where it can."""
    lightness, a, b = lab
    if 0.0 <= lightness <= 110.0 and abs(a) <= 200.0 and abs(b) <= 200.0:
        return None
    return f"L {lightness:g}, a {a:g}, b {b:g}, which is no colour of a surface; L goes from 0 to 100"
