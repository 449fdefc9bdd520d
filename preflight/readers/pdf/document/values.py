"""Numbers and names out of PDF objects that may be anything. Knows no operator and no colour."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pikepdf

__all__ = ["entry", "identity", "key_text", "name_text", "number", "numbers", "object_of", "text"]


def _decoded(raw: bytes) -> str:
    """A name as a person sees it: UTF-8 (ISO 32000-1 7.3.5), else Latin-1; ``#xx`` is decoded already."""
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("latin-1")


def name_text(value: Any) -> str | None:
    """The text of a name object without its slash, or None where the value is no name."""
    if not isinstance(value, pikepdf.Name):
        return None
    return _decoded(bytes(value)[1:])


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


def identity(value: Any) -> tuple[int, int] | None:
    """Object and generation number of an indirect object, or None for a direct one and for plain values."""
    if not isinstance(value, pikepdf.Object):
        return None
    found = value.objgen
    return None if found == (0, 0) else found


def entry(holder: Any, key: str) -> Any:
    """A dictionary's or stream's entry; None where there is none, it cannot be parsed, or the holder is neither.

    Parameters
    ----------
    key : with its slash.
    """
    if not isinstance(holder, (pikepdf.Dictionary, pikepdf.Stream)):
        return None
    try:
        return holder.get(key)
    except (pikepdf.PdfError, ValueError, RuntimeError, TypeError):
        return None  # what cannot be parsed stands for null (ISO 32000-1, 7.3.9); qpdf keeps a warning of it


def text(value: Any) -> str | None:
    """A text string (PDFDocEncoding, UTF-16 or UTF-8), or None where the value is something else."""
    if isinstance(value, str):
        return value
    if not isinstance(value, pikepdf.String):
        return None
    try:
        return str(value)
    except (UnicodeDecodeError, ValueError):
        return bytes(value).decode("latin-1")


def key_text(key: str) -> str:
    """The text of a dictionary's key as pikepdf gives it, without its slash."""
    return _decoded(key.encode("utf-8", "surrogateescape")[1:])


def object_of(value: Any) -> Any:
    """The PDF object of a value read from a content stream: names are str, strings bytes, arrays lists.

    What has no place in an array (a nested dictionary) becomes null.
    """
    if isinstance(value, str):
        return pikepdf.Name(f"/{value}")
    if isinstance(value, bytes):
        return pikepdf.String(value)
    if isinstance(value, list):
        return pikepdf.Array([object_of(item) for item in value])
    if isinstance(value, (int, float)):
        return int(value) if float(value).is_integer() else value
    return None
