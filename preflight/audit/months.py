"""The month in which a file was last changed, as places tell it: in seconds, in parts, as text. Knows no place."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

__all__ = ["month_of_facts", "month_of_seconds"]

_DATES = ("mtime", "last_modified", "LastModified", "updated", "date_time", "created")

_BEGIN = datetime(1970, 1, 1, tzinfo=UTC)


def month_of_seconds(seconds: float) -> str | None:
    """The month, ``2026-11``, of a moment in seconds since 1970; None where no calendar has it."""
    try:
        date = _BEGIN + timedelta(seconds=seconds)  # time.gmtime knows other years on each system
    except (OverflowError, ValueError):
        return None
    return _named(date.year, date.month)


def month_of_facts(facts: Mapping[str, Any]) -> str | None:
    """The month, ``2026-11``, that a file system of fsspec tells of a file; None where it tells none, or one that there is not."""
    months = (_month(facts.get(key)) for key in _DATES)
    return next((month for month in months if month is not None), None)


def _month(date: Any) -> str | None:
    if isinstance(date, int | float):
        return month_of_seconds(date)
    if isinstance(date, tuple):  # as archives tell it
        return _named(*date[:2])
    if isinstance(date, str):
        match = re.match(r"([0-9]{4})-([0-9]{2})(?![0-9])", date)
        return None if match is None else _named(int(match[1]), int(match[2]))
    return _named(getattr(date, "year", None), getattr(date, "month", None))


def _named(year: Any = None, month: Any = None) -> str | None:
    """The month by its figures; archives hold a month 0 where no date was written."""
    if isinstance(year, int) and isinstance(month, int) and 1 <= year <= 9999 and 1 <= month <= 12:
        return f"{year:04d}-{month:02d}"
    return None
