"""Named colours of a shop from a file: CSV, or CxF3 (ISO 17972-1). Knows no profile and no artwork.

Every colour becomes Lab D50 as the 2° observer sees it. Reflectance is added up for that light and observer, whatever they were
measured for; Lab and XYZ under another light are adapted (linear Bradford), and for another observer refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from preflight.colour.spaces import Triple

__all__ = ["Library", "LibraryColour", "LibraryError", "Refused", "read_library"]

LARGEST = 32 * 2**20
"""Bytes: some hundred thousand colours."""

_COLUMNS = ("name", "l", "a", "b")


class LibraryError(ValueError):
    """A library that cannot be used; the message names the file, the place and the mend."""


class LibraryColour(NamedTuple):
    """A colour by its name, Lab D50 for the 2° observer."""

    name: str
    lab: Triple


class Refused(NamedTuple):
    """A colour of a library that cannot be used, and why."""

    name: str
    reason: str


class Library(NamedTuple):
    """A file of named colours; ``name`` is the file's."""

    name: str
    colours: tuple[LibraryColour, ...]
    refused: tuple[Refused, ...] = ()


def read_library(path: Path) -> Library:
    """Read a file of named colours; its content tells which kind it is.

    Raises
    ------
    LibraryError
        The file cannot be read, is of neither kind, breaks off, or holds no colour that can be used.
    """
    try:
        if path.stat().st_size > LARGEST:
            raise LibraryError(
                f"{path} is larger than {LARGEST // 2**20} MB; split it, or leave out what is not needed"
            )
        data = path.read_bytes()
    except OSError as error:
        raise LibraryError(f"{path} cannot be read: {error.strerror or error}") from None
    if data.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<"):
        from preflight.colour.cxf import colours_of_cxf

        colours, refused = colours_of_cxf(data, path)
    else:
        colours, refused = list(_colours_of_csv(data, path)), []
    if not colours:
        why = f": {refused[0].name}: {refused[0].reason}" if refused else ""
        raise LibraryError(f"{path} holds no colour that can be used{why}")
    return Library(path.name, tuple(colours), tuple(refused))


def _colours_of_csv(data: bytes, path: Path) -> Iterator[LibraryColour]:
    """Rows of name, L, a and b below a line that names the columns, parted by commas, semicolons or tabs."""
    import csv
    import io

    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise LibraryError(
            f"{path} is no text in UTF-8 (byte {error.start + 1}); save it as CSV in UTF-8"
        ) from None
    first = text.partition("\n")[0]
    parted_by = max(",;\t", key=first.count)
    rows = csv.reader(io.StringIO(text), delimiter=parted_by)
    columns = [column.strip().casefold() for column in next(rows, [])]
    missing = [name for name in _COLUMNS if name not in columns]
    if missing:
        raise LibraryError(
            f"{path} line 1 names no column {' and no column '.join(missing)}; begin the file with the line name,L,a,b"
        )
    places = [columns.index(name) for name in _COLUMNS]
    for row in rows:
        if any(cell.strip() for cell in row):
            yield _row(row, places, f"{path} line {rows.line_num}", parted_by != ",")


def _row(row: list[str], places: list[int], where: str, decimal_comma: bool) -> LibraryColour:
    if len(row) <= max(places):
        raise LibraryError(f"{where} breaks off after {len(row)} values; write name, L, a and b")
    name, *numbers = (row[place].strip() for place in places)
    if not name:
        raise LibraryError(f"{where} has no name; give the colour one, or delete the line")
    values = []
    for column, text in zip(_COLUMNS[1:], numbers, strict=True):
        try:
            # A file parted by semicolons may write its decimals with commas.
            values.append(float(text.replace(",", ".") if decimal_comma else text))
        except ValueError:
            raise LibraryError(f"{where}: {column} is {text!r}, which is no number") from None
    lab = (values[0], values[1], values[2])
    check_lab(lab, where)
    return LibraryColour(name, lab)


def check_lab(lab: Triple, where: str) -> None:
    """Refuse what cannot be the Lab of a surface.

    Raises
    ------
    LibraryError
    """
    lightness, a, b = lab
    if not (0.0 <= lightness <= 110.0 and abs(a) <= 200.0 and abs(b) <= 200.0):
        raise LibraryError(
            f"{where}: L {lightness:g}, a {a:g}, b {b:g} is no colour of a surface; L goes from 0 to 100"
        )
