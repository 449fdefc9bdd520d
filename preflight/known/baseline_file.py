"""The file of a baseline: JSON, one finding to a line, sorted. Knows no run."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import msgspec

from preflight.reports.report import HeldFinding

__all__ = ["BaselineError", "read", "written"]

FORMAT = "artwork-preflight baseline"
VERSION = 1
_ANEW = "or have it written anew with --renew-baseline"
_MARKS = ("<<<<<<<", "=======", ">>>>>>>", "|||||||")
"""What git writes at the beginning of lines that two sides of a merge disagree on."""

_HEAD = 400
"""Characters at the beginning in which a baseline says what it is, marks of a merge before it included."""


class BaselineError(ValueError):
    """What is wrong with a baseline, where, and the mend.

    ``broken`` tells that it was a baseline once, so that writing it anew destroys nothing else.
    """

    def __init__(self, message: str, broken: bool = False) -> None:
        super().__init__(message + (f", {_ANEW}" if broken else ""))
        self.broken = broken


def read(path: Path) -> tuple[HeldFinding, ...]:
    """The findings that the file holds, in its order; one that stands there twice, as a merge may leave it, counts once.

    Raises
    ------
    BaselineError
        It is not there, cannot be read, or is no baseline that this version understands.
    """
    document = _parsed(path, _text(path))
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise BaselineError(
            f'{path} is no baseline: it does not say "format": "{FORMAT}"; name the right file'
        )
    if document.get("version") != VERSION:
        raise BaselineError(
            f"{path} is a baseline of version {document.get('version')!r}, and this program reads version {VERSION}: use the "
            "program that wrote it",
            broken=True,
        )
    findings = document.get("findings")
    if not isinstance(findings, list):
        raise BaselineError(f'{path} holds no list "findings"; put it back as it was', broken=True)
    held: dict[tuple[str, str], HeldFinding] = {}
    for number, entry in enumerate(findings, 1):
        one = _finding(path, number, entry)
        held.setdefault((one.path, one.fingerprint), one)
    return tuple(held.values())


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8-sig")
    except FileNotFoundError:
        raise BaselineError(
            f"there is no baseline {path}; correct the path, or add --write-baseline to have it written"
        ) from None
    except UnicodeDecodeError:
        raise BaselineError(f"{path} is no baseline: it is not UTF-8 text; name the right file") from None
    except OSError as error:
        raise BaselineError(
            f"the baseline {path} cannot be read: {error.strerror or error}; name a file that can be"
        ) from None


def _parsed(path: Path, text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        broken = FORMAT in text[:_HEAD]
        for number, line in enumerate(text.split("\n"), 1):
            if line.startswith(_MARKS):
                raise BaselineError(
                    f"{path}:{number}: a merge was not brought to its end there: keep the findings of both sides, with a comma "
                    "behind each but the last, and take the marks out",
                    broken,
                ) from None
        told = "it is nested too deep" if isinstance(error, RecursionError) else "it is not JSON"
        place = f"{path}:{error.lineno}" if isinstance(error, json.JSONDecodeError) else str(path)
        mend = "mend what stands there" if broken else "it is no baseline, so name the right file"
        raise BaselineError(f"{place}: {told}; {mend}", broken) from None


def _finding(path: Path, number: int, entry: Any) -> HeldFinding:
    try:
        one = msgspec.convert(entry, _Entry).held()
        if not all(map(math.isfinite, one.bounds_mm or ())):
            raise ValueError("a number of bounds_mm is not finite")
        return one
    except ValueError as error:  # msgspec's own errors are such
        told = f"{path}: finding {number} cannot be used: {error}; mend it, or take it out"
        raise BaselineError(told, broken=True) from None


class _Entry(HeldFinding, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A finding as the file writes it: what is null may be left out."""

    subject: str | None = None
    layers: tuple[str, ...] = ()
    bounds_mm: tuple[float, float, float, float] | None = None

    def held(self) -> HeldFinding:
        """The same as data."""
        return HeldFinding(**msgspec.structs.asdict(self))


def written(findings: Iterable[HeldFinding]) -> bytes:
    """The file: the same findings give the same bytes, and one more or less is a line more or less."""
    lines = ",\n".join(_line(one) for one in sorted(findings, key=_order))
    head = f'{{\n"format": {json.dumps(FORMAT)},\n"version": {VERSION},\n"findings": ['
    # A path that is no UTF-8 on disk reaches Python with lone surrogates; their escapes are those of JSON.
    return f"{head}\n{lines}{chr(10) if lines else ''}]\n}}\n".encode("utf-8", "backslashreplace")


def _order(one: HeldFinding) -> tuple[Any, ...]:
    return one.path, one.page, one.rule, one.subject or "", one.bounds_mm or (), one.layers, one.fingerprint


def _line(one: HeldFinding) -> str:
    return json.dumps(dict(_told(one)), ensure_ascii=False)


def _told(one: HeldFinding) -> Iterator[tuple[str, Any]]:
    for name, value in msgspec.structs.asdict(one).items():
        if value is not None and value != ():
            yield name, value
