"""Numbers and names out of PDF objects that may be anything. Knows no operator and no colour."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pikepdf

__all__ = ["identity", "name_text", "number", "numbers", "text_of_name_bytes"]


def text_of_name_bytes(raw: bytes) -> str:
    """A name as a person sees it: UTF-8 (ISO 32000-1 7.3.5), else Latin-1; ``#xx`` is decoded already."""
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("latin-1")


def name_text(value: Any) -> str | None:
    """The text of a name object without its slash, or None where the value is no name."""
    if not isinstance(value, pikepdf.Name):
        return None
    return text_of_name_bytes(bytes(value)[1:])


def number(value: Any) -> float | None:
    """A finite number, or None where the value is something else."""
    if isinstance(value, bool) or not isinstance(value, (int, float, Decimal)):
        return None
    try:
        found = float(value)
    except OverflowError:
        return None
    return found if math.isfinite(found) else None


def numbers(value: Any) -> list[float] | None:
    """The numbers of an array, or None where it is no array or holds anything else."""
    if not isinstance(value, pikepdf.Array):
        return None
    found = [number(item) for item in value]
    return None if None in found else [item for item in found if item is not None]


def identity(value: pikepdf.Object) -> tuple[int, int] | None:
    """Object and generation number of an indirect object, or None for a direct one."""
    found = value.objgen
    return None if found == (0, 0) else found
