"""Waivers that stand beside the artwork, in ``NAME.waivers.toml``. Knows no rule and no file format of artwork.

PDF has no place for a waiver that programs keep; a file beside it does for any format.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec

from preflight.profile.errors import SettingError
from preflight.profile.names import normalised
from preflight.profile.settings import nearest
from preflight.profile.units import parse_length
from preflight.rule import Finding, Level
from preflight.waivers import FAULTY, UNUSED, no_such_rule

__all__ = ["SUFFIX", "WaiverFile", "waiver_file", "waivers_in"]

SUFFIX = ".waivers.toml"
TABLE = "waivers"

_MOST_BYTES = 1_000_000
_NEAR = 1.0
"""mm. A place named by a waiver may lie this far outside the finding's bounds, unless it says otherwise."""

_KEYS = ("rule", "reason", "page", "layer", "at", "within", "fingerprint")


class _Waiver(msgspec.Struct, frozen=True):
    """One table of the file: what it waives, and where. None for what it leaves open; lengths in mm."""

    rule: str
    reason: str
    page: int | None = None
    layer: str | None = None
    at: tuple[float, float] | None = None
    within: float = _NEAR
    fingerprint: str | None = None

    def covers(self, finding: Finding, fingerprint: str) -> bool:
        """Whether it speaks of this finding."""
        return (
            finding.rule == self.rule
            and self.page in (None, finding.page)
            and (self.layer is None or self._on_layer(finding))
            and (self.at is None or self._near(finding, *self.at))
            and self.fingerprint in (None, fingerprint)
        )

    def _on_layer(self, finding: Finding) -> bool:
        own = normalised(self.layer or "")
        return any(normalised(reference.layer or "") == own for reference in finding.objects)

    def _near(self, finding: Finding, x: float, y: float) -> bool:
        if finding.bounds_mm is None:
            return False
        x0, y0, x1, y1 = finding.bounds_mm
        return x0 - self.within <= x <= x1 + self.within and y0 - self.within <= y <= y1 + self.within


class WaiverFile:
    """The waivers of one file of artwork, and what is wrong with them.

    Parameters
    ----------
    name : the waiver file's own name, for messages.
    faults : a message and a mend for each thing in it that cannot be used.
    """

    def __init__(self, name: str, waivers: Sequence[_Waiver], faults: Sequence[tuple[str, str]]) -> None:
        self.name = name
        self._waivers = tuple(waivers)
        self._faults = list(faults)

    def applied(
        self, pages: Mapping[int, Sequence[Finding]], judging: Collection[str], known: Collection[str]
    ) -> dict[int, list[Finding]]:
        """The findings of each page by its number, those that a waiver covers marked with its reason.

        What is wrong with the waivers is added to the page they name, or else to the first.

        Parameters
        ----------
        pages : findings with their fingerprints.
        judging : ids of the rules that judged the file; whether a waiver of another rule is used cannot be told.
        known : ids of all rules that can be waived.
        """
        first = min(pages)
        sound: list[_Waiver] = []
        faults = [(first, fault) for fault in self._faults]
        for waiver in self._waivers:
            fault = self._fault(waiver, known, pages)
            if fault is None:
                sound.append(waiver)
            else:
                faults.append(
                    (waiver.page if waiver.page is not None and waiver.page in pages else first, fault)
                )
        used: set[int] = set()
        result = {
            number: [self._marked(one, sound, used) for one in found] for number, found in pages.items()
        }
        for number, (message, mend) in faults:
            result[number].append(_told(FAULTY, Level.ERROR, number, message, mend))
        for index, waiver in enumerate(sound):
            if index not in used and waiver.rule in judging:
                number = waiver.page or first
                message = f"The waiver of {waiver.rule} in {self.name} waives nothing: the rule finds nothing there."
                mend = "Take it out, so that it does not hide a later fault."
                result[number].append(_told(UNUSED, Level.NOTE, number, message, mend))
        return result

    def _marked(self, finding: Finding, waivers: Sequence[_Waiver], used: set[int]) -> Finding:
        covering = [
            index for index, waiver in enumerate(waivers) if waiver.covers(finding, finding.fingerprint)
        ]
        used.update(covering)
        if not covering or finding.waived is not None:
            return finding
        return msgspec.structs.replace(finding, waived=waivers[covering[0]].reason, waived_in="waiver file")

    def _fault(
        self, waiver: _Waiver, known: Collection[str], pages: Collection[int]
    ) -> tuple[str, str] | None:
        if waiver.rule not in known:
            return f"A waiver in {self.name} names no rule: “{waiver.rule}”.", no_such_rule(
                waiver.rule, known
            )
        if not waiver.reason:
            return (
                f"The waiver of {waiver.rule} in {self.name} gives no reason, so it waives nothing.",
                'Write beside it why the fault is in order: reason = "…".',
            )
        if waiver.page is not None and waiver.page not in pages:
            return (
                f"The waiver of {waiver.rule} in {self.name} is for page {waiver.page}, which is not there.",
                "Correct the number of the page, or take the waiver out.",
            )
        return None


def waiver_file(folder: Path | None, name: str) -> WaiverFile | None:
    """The waiver file beside a file of artwork, or None where there is none.

    Parameters
    ----------
    folder : where the artwork lies, or None where it came through a pipe.
    name : the artwork's name; folders before it do not matter.
    """
    if folder is None:
        return None
    path = folder / (Path(name).stem + SUFFIX)
    if not path.is_file():
        return None
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise SettingError(f"it is larger than {_MOST_BYTES:,} bytes")
        return waivers_in(path.read_bytes(), path.name)
    except (OSError, SettingError) as error:
        return WaiverFile(path.name, (), [_unread(path.name, error)])


def waivers_in(data: bytes, name: str) -> WaiverFile:
    """The waivers that a file of that name holds."""
    waivers: list[_Waiver] = []
    faults: list[tuple[str, str]] = []
    try:
        for table in _tables(data):
            try:
                waivers.append(_waiver(table))
            except SettingError as error:
                faults.append((f"A waiver in {name} cannot be used: {error}.", _MEND))
    except SettingError as error:
        faults.append(_unread(name, error))
    return WaiverFile(name, waivers, faults)


def _unread(name: str, error: Exception) -> tuple[str, str]:
    return f"The waivers in {name} cannot be read: {error}.", _MEND


_MEND = 'Write each waiver as a table [[waivers]] with rule = "…" and reason = "…".'


def _tables(data: bytes) -> Iterator[Any]:
    """The tables of the file.

    Raises
    ------
    SettingError
        It is not TOML, or holds something else.
    """
    import tomllib

    try:
        told = tomllib.loads(data.decode())
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise SettingError(f"it is not TOML: {error}") from None
    unknown = [key for key in told if key != TABLE]
    if unknown:
        raise SettingError(f"it holds {unknown[0]!r}, and only {TABLE!r} is known")
    tables = told.get(TABLE, [])
    if not isinstance(tables, list):
        raise SettingError(f"{TABLE!r} is no list of tables")
    yield from tables


def _waiver(table: Any) -> _Waiver:
    """One waiver of what the file says.

    Raises
    ------
    SettingError
        A key is unknown, or has a value it cannot have.
    """
    if not isinstance(table, dict):
        raise SettingError("it is no table")
    for key in table:
        if key not in _KEYS:
            near = nearest(key, _KEYS)
            raise SettingError(
                f"{key!r} is not known; "
                + (f"did you mean {near!r}?" if near else f"known are {', '.join(_KEYS)}")
            )
    for key in ("rule", "reason", "layer", "fingerprint"):
        if not isinstance(table.get(key, ""), str):
            raise SettingError(f"{key} is no text in quotes")
    page = table.get("page")
    if page is not None and (not isinstance(page, int) or isinstance(page, bool)):
        raise SettingError("page is no whole number")
    return _Waiver(
        table.get("rule", "").strip(),
        table.get("reason", "").strip(),
        page,
        table.get("layer"),
        _place(table.get("at")),
        parse_length(table["within"]) if "within" in table else _NEAR,
        table.get("fingerprint"),
    )


def _place(value: Any) -> tuple[float, float] | None:
    if value is None:
        return None
    if not isinstance(value, list) or len(value) != 2:
        raise SettingError('at is no pair of lengths, such as ["32 mm", "210.5 mm"]')
    return parse_length(value[0]), parse_length(value[1])


def _told(rule: str, level: Level, page: int, message: str, hint: str) -> Finding:
    return Finding(rule=rule, level=level, message=message, hint=hint, page=page)
