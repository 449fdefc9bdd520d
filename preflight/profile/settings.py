"""Typed settings with a unit, a default, a basis and a reason. Knows no rule and no file."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from typing import Any, ClassVar, TypeAlias

__all__ = [
    "MILLIMETRES_PER_UNIT",
    "Basis",
    "Count",
    "Degrees",
    "Millimetres",
    "Setting",
    "SettingError",
    "SettingsTable",
    "choice",
    "count",
    "degrees",
    "flag",
    "mm",
    "names",
    "nearest",
    "parse_length",
    "ratio",
    "show_length",
]

Millimetres: TypeAlias = float
Degrees: TypeAlias = float
Count: TypeAlias = int

MILLIMETRES_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "ft": 304.8,
}

_LENGTH = re.compile(
    r"""\s*(?:(?P<whole>\d+(?:\.\d+)?|\.\d+)?\s*(?:(?<=\s)|(?<!\d))(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<number>[+-]?(?:\d+(?:\.\d+)?|\.\d+)))
    \s*(?P<unit>[a-z"”″]+)?\s*""",
    re.VERBOSE | re.IGNORECASE,
)


class Basis(StrEnum):
    """What a default rests on."""

    STANDARD = "standard"
    EDUCATION = "education"
    COMMON_PRACTICE = "common practice"
    ASSUMPTION = "project assumption"


class SettingError(ValueError):
    """A value that a setting cannot take; the message says why and what would do."""


def parse_length(text: object) -> Millimetres:
    """A length written with its unit, as mm: ``"3 mm"``, ``"1/8 in"``, ``"1 1/2 in"``.

    Raises
    ------
    SettingError
        Not a string, no unit, an unknown unit, or not a number.
    """
    if not isinstance(text, str):
        raise SettingError(f'{text!r} has no unit; write a length as a string, such as "3 mm" or "1/8 in"')
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise SettingError(f'{text!r} is not a length; write a number and a unit, such as "3 mm" or "1/8 in"')
    unit = (match["unit"] or "").lower()
    unit = "in" if unit in {'"', "”", "″", "inch", "inches"} else unit
    if unit not in MILLIMETRES_PER_UNIT:
        known = ", ".join(MILLIMETRES_PER_UNIT)
        raise SettingError(f"{text!r} has {'no unit' if not unit else 'an unknown unit'}; use one of {known}")
    if match["number"] is not None:
        value = float(match["number"])
    elif int(match["bottom"]) == 0:
        raise SettingError(f"{text!r} divides by zero")
    else:
        value = float(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    return value * MILLIMETRES_PER_UNIT[unit]


def show_length(millimetres: Millimetres) -> str:
    """A length as people read it: ``3 mm``, ``0.05 mm``."""
    return f"{millimetres:.6g} mm"


def nearest(name: str, known: list[str] | tuple[str, ...]) -> str | None:
    """The known name most like the given one, or None when none is near."""
    matches = get_close_matches(name, known, n=1, cutoff=0.5)
    return matches[0] if matches else None


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting: what it takes, what it is unless told otherwise, and why.

    ``unit`` is ``mm``, ``degrees``, ``count``, ``ratio``, ``flag``, ``choice`` or ``names``.
    """

    unit: str
    default: Any
    reason: str
    basis: Basis
    least: float = 0.0
    choices: tuple[str, ...] = ()

    def parsed(self, value: object) -> Any:
        """The value as the rule gets it.

        Raises
        ------
        SettingError
            The value is of the wrong kind or out of range.
        """
        match self.unit:
            case "mm":
                number = parse_length(value)
            case "flag":
                return _expect(value, bool, "true or false")
            case "choice":
                if value not in self.choices:
                    raise SettingError(f"{value!r} is none of {', '.join(self.choices)}")
                return value
            case "names":
                texts = _expect(value, list, 'a list of names, such as ["kiss cut"]')
                return tuple(_expect(text, str, "a name in quotes") for text in texts)
            case "count":
                number = _expect(value, int, "a whole number")
            case _:
                number = float(_expect(value, (int, float), "a number"))
        if not math.isfinite(number) or number < self.least:
            raise SettingError(f"{value!r} is below the least that makes sense, {self.shown(self.least)}")
        return number

    def shown(self, value: Any) -> str:
        """The value with its unit, as text."""
        match self.unit:
            case "mm":
                return show_length(value)
            case "degrees":
                return f"{value:g}°"
            case "names":
                return ", ".join(value) or "none"
            case "flag":
                return "yes" if value else "no"
            case "choice":
                return str(value)
            case _:
                return f"{value:g}"

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value as a profile writes it."""
        types: dict[str, dict[str, Any]] = {
            "mm": {"type": "string", "pattern": r"\d\s*(mm|cm|m|in|pt|pc|ft)$"},
            "flag": {"type": "boolean"},
            "choice": {"enum": list(self.choices)},
            "names": {"type": "array", "items": {"type": "string"}},
            "count": {"type": "integer", "minimum": self.least},
        }
        schema = dict(types.get(self.unit, {"type": "number", "minimum": self.least}))
        default = self.default
        schema["default"] = show_length(default) if self.unit == "mm" else default
        if self.unit == "names":
            schema["default"] = list(default)
        schema["description"] = f"{self.reason} ({self.basis})"
        return schema


def _expect(value: object, kind: Any, wanted: str) -> Any:
    if (isinstance(value, bool) and kind is not bool) or not isinstance(value, kind):
        raise SettingError(f"{value!r} is not {wanted}")
    return value


def mm(default: Millimetres, reason: str, basis: Basis = Basis.ASSUMPTION, least: float = 0.0) -> Any:
    """A length setting; profiles write it as a string with a unit."""
    return Setting("mm", default, reason, basis, least)


def degrees(default: Degrees, reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """An angle setting in degrees."""
    return Setting("degrees", default, reason, basis)


def count(default: Count, reason: str, basis: Basis = Basis.ASSUMPTION, least: int = 0) -> Any:
    """A whole-number setting."""
    return Setting("count", default, reason, basis, least)


def ratio(default: float, reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """A plain number without a unit."""
    return Setting("ratio", default, reason, basis)


def flag(default: bool, reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """A yes-or-no setting."""
    return Setting("flag", default, reason, basis)


def choice(default: str, choices: tuple[str, ...], reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """One of a few words."""
    return Setting("choice", default, reason, basis, choices=choices)


def names(default: tuple[str, ...], reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """A list of names."""
    return Setting("names", default, reason, basis)


class SettingsTable:
    """A table of settings: subclass it and assign `Setting` objects to annotated names.

    Instances hold the parsed values; names not given keep their defaults.
    """

    _fields: ClassVar[dict[str, Setting]] = {}

    def __init_subclass__(cls) -> None:
        own = {name: value for name, value in vars(cls).items() if isinstance(value, Setting)}
        cls._fields = {**cls._fields, **own}

    def __init__(self, **values: Any) -> None:
        unknown = [name for name in values if name not in self._fields]
        if unknown:
            near = nearest(unknown[0], list(self._fields))
            known = ", ".join(self._fields) or "none: this rule has no settings"
            told = f"did you mean {near!r}?" if near else f"known settings: {known}"
            raise SettingError(f"unknown setting {unknown[0]!r}; {told}")
        for name, setting in self._fields.items():
            object.__setattr__(self, name, values.get(name, setting.default))

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"settings are read-only: {name}")

    @classmethod
    def fields(cls) -> dict[str, Setting]:
        """The settings by name, inherited ones first."""
        return dict(cls._fields)

    @classmethod
    def parsed(cls, raw: dict[str, object]) -> SettingsTable:
        """Settings from the values of a profile table.

        Raises
        ------
        SettingError
            An unknown name, or a value of the wrong kind; the message names the setting.
        """
        values = {}
        for name, value in raw.items():
            setting = cls._fields.get(name)
            try:
                values[name] = value if setting is None else setting.parsed(value)
            except SettingError as error:
                raise SettingError(f"{name}: {error}") from None
        return cls(**values)
