"""The overview as one HTML file with its style, script and data in it; pictures and reports lie beside it. Knows no SQL."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Any

import msgspec

from preflight.audit.own_folder import OVERVIEW
from preflight.audit.own_reports import own_report
from preflight.audit.reading import Reading
from preflight.reports.html.inlined import environment, inert_json, markup, part, policy
from preflight.reports.words import printable
from preflight.whole_files import write_whole

from .columns import columns_of
from .totals import totals_of

__all__ = ["up_to_date", "write_overview"]

_STYLES = (("preflight.reports.html", "base.css"), (__package__, "overview.css"))
_SCRIPTS = tuple((__package__, f"{name}.js") for name in ("files", "list", "rows", "facets", "overview"))
_TEMPLATE = (__package__, "template.html")

_HEAD = 4_000
"""Bytes at the beginning of the page in which it says what it was made from."""


def write_overview(
    reading: Reading, into: Path, reports: Collection[str], profile: str | None = None
) -> None:
    """Write the overview whole: beside its place first, then renamed. The same store gives the same bytes.

    Parameters
    ----------
    into : the audit's own folder, in which pictures and reports lie.
    reports : paths of the files that have a report of their own there.
    profile : path of the profile that was named for all files; None where each is judged by that of its folder.

    Raises
    ------
    OSError
    """
    write_whole(into / OVERVIEW, [_page(reading, reports, profile)])


def up_to_date(reading: Reading, into: Path, reports: Collection[str], profile: str | None = None) -> bool:
    """Whether the page that is there tells of the last run and leads to these reports."""
    page = into / OVERVIEW
    if not page.is_file():
        return False
    with page.open("rb") as file:
        return f'content="{_made_from(reading, reports, profile)}"'.encode() in file.read(_HEAD)


def _made_from(reading: Reading, reports: Collection[str], profile: str | None) -> str:
    """A digest of the page's own parts, the runs, and the reports there are."""
    parts = [part(*one) for one in (*_STYLES, *_SCRIPTS, _TEMPLATE)]
    addresses = [own_report(reading, path) for path in sorted(reports)]
    told = msgspec.json.encode([parts, reading.root, profile, reading.runs(), addresses])
    return f"sha256-{hashlib.sha256(told).hexdigest()}"


def _page(reading: Reading, reports: Collection[str], profile: str | None) -> bytes:
    columns = columns_of(reading, reports, profile)
    totals = totals_of(reading, columns)
    judgements = reading.judgements()
    place = {rule: number for number, rule in enumerate(columns.rules)}
    style, script = _joined(_STYLES), _joined(_SCRIPTS)
    made = environment()
    made.filters |= {"printable": printable, "since": _since, "many": "{:,}".format}
    text = made.from_string(part(*_TEMPLATE)).render(
        made_from=_made_from(reading, reports, profile),
        root=printable(reading.root),
        totals=totals,
        rule_place=place,
        profiles=_told(one.profile for one in judgements),
        tools=_told(f"artwork-preflight {one.tool}" for one in judgements),
        most_files=max((month.files for month in totals.months), default=1),
        policy=policy(style, script, "'self'"),
        style=markup(style),
        script=markup(script),
        data=inert_json(msgspec.to_builtins(columns)),
    )
    return text.encode("utf-8", "backslashreplace")


def _joined(parts: Iterable[tuple[Any, str]]) -> str:
    return "".join(part(*one) for one in parts)


def _told(names: Iterable[str]) -> str:
    """The first of the names that differ, and how many more there are."""
    first, *others = dict.fromkeys(names) or [""]
    return printable(first) + (f" and {len(others)} more" if others else "")


def _since(number: int) -> str:
    """A difference in figures."""
    return f"{number:+,}".replace("-", "−") if number else "±0"
