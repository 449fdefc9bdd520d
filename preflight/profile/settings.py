"""Typed settings with a unit, a default, a basis and a reason. Knows no rule and no file."""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import StrEnum
from typing import Any, ClassVar, Self, TypeAlias

import msgspec

from .errors import SettingError
from .units import (
    COLOUR_PATTERN,
    LENGTH_PATTERN,
    MILLIMETRES_PER_UNIT,
    NUMBER,
    Millimetres,
    parse_colour,
    parse_length,
    parse_scale,
    parse_size,
    parse_speed,
    show_length,
    show_size,
)

__all__ = [
    "Basis",
    "Count",
    "Degrees",
    "Setting",
    "SettingsTable",
    "choice",
    "colour_difference",
    "count",
    "degrees",
    "flag",
    "mm",
    "names",
    "nearest",
    "points",
    "ppi",
    "ratio",
    "square_mm",
]

Degrees: TypeAlias = float
Count: TypeAlias = int


class Basis(StrEnum):
    """What a default rests on."""

    STANDARD = "standard"
    EDUCATION = "education"
    COMMON_PRACTICE = "common practice"
    ASSUMPTION = "project assumption"


def nearest(name: str, known: list[str] | tuple[str, ...]) -> str | None:
    """The known name most like the given one, or None when none is near."""
    from difflib import get_close_matches  # only where something is misspelt

    matches = get_close_matches(name, known, n=1, cutoff=0.6)
    return matches[0] if matches else None


class Setting(msgspec.Struct, frozen=True):
    """One setting: what it takes, what it is unless told otherwise, and why.

    ``unit`` is ``mm``, ``pt`` (held in mm, shown in points), ``mm/s``, ``s``, ``ppi``, ``degrees``, ``count``, ``count or auto``, ``ratio``, ``scale``, ``%``, ``ΔE00``,
    ``bytes``, ``flag``, ``choice``, ``text``, ``names``, ``colours`` or ``speeds``.
    """

    unit: str
    default: Any
    reason: str
    basis: Basis
    least: float = 0.0
    choices: tuple[str, ...] = ()
    example: Any = None
    """What ``init`` shows where there is no default (default None: not judged, or not limited, unless set)."""

    def parsed(self, value: object) -> Any:
        """The value as the rule gets it.

        Raises
        ------
        SettingError
            The value is of the wrong kind or out of range.
        """
        match self.unit:
            case "mm" | "pt":
                number = parse_length(value)
            case "mm/s":
                number = parse_speed(value)
            case "bytes":
                number = parse_size(value)
            case "scale":
                number = parse_scale(value)
            case "flag":
                return _expect(value, bool, "true or false")
            case "text":
                return _expect(value, str, "text in quotes")
            case "colours":
                return tuple(
                    parse_colour(text) for text in _expect(value, list, 'a list such as ["#ff0000"]')
                )
            case "speeds":
                table = _expect(value, dict, 'a table such as { Cutting = "200 mm/s" }')
                return {step: parse_speed(speed) for step, speed in table.items()}
            case "count or auto" if value == "auto":
                return value
            case "count or auto":
                number = _expect(value, int, 'a whole number or "auto"')
            case "choice":
                if value not in self.choices:
                    told = ", ".join(f'"{choice}"' for choice in self.choices)
                    raise SettingError(f"{value!r} is not to be chosen; write one of {told}")
                return value
            case "names":
                texts = _expect(value, list, 'a list of names, such as ["kiss cut"]')
                return tuple(_expect(text, str, "a name in quotes") for text in texts)
            case "count":
                number = _expect(value, int, "a whole number")
            case _:
                number = float(_expect(value, (int, float), "a number"))
        if not math.isfinite(number):
            raise SettingError(f"{value!r} is no finite number; write one")
        if number < self.least:
            least = self.shown(self.least)
            raise SettingError(f"{value!r} is below the least that makes sense, {least}; write that or more")
        return number

    def shown(self, value: Any) -> str:
        """The value with its unit, as text."""
        if value is None:
            return "none"
        match self.unit:
            case "mm":
                return show_length(value)
            case "pt":
                return f"{value / MILLIMETRES_PER_UNIT['pt']:.9g} pt"
            case "bytes":
                return show_size(value)
            case "mm/s" | "s" | "%" | "ppi" | "mm²":
                return f"{value:g} {self.unit}"
            case "ΔE00":
                return f"ΔE00 {value:g}"
            case "speeds":
                return ", ".join(f"{step} {speed:g} mm/s" for step, speed in value.items()) or "none"
            case "degrees":
                return f"{value:.15g}°"
            case "names" | "colours":
                return ", ".join(value) or "none"
            case "flag":
                return "yes" if value else "no"
            case "choice" | "text" | "count or auto":
                return str(value)
            case _:
                return f"{value:.15g}"

    def written(self, value: Any) -> Any:
        """The value as a profile writes it: lengths, sizes and speeds as texts with their unit."""
        match self.unit:
            case "mm" | "pt" | "mm/s" | "bytes":
                return self.shown(value)
            case "names" | "colours":
                return list(value)
            case "speeds":
                return {step: f"{speed:g} mm/s" for step, speed in value.items()}
            case _:
                return value

    def schema(self) -> dict[str, Any]:
        """JSON Schema of the value as a profile writes it."""
        types: dict[str, dict[str, Any]] = {
            "mm": {"type": "string", "pattern": LENGTH_PATTERN + "$"},
            "pt": {"type": "string", "pattern": LENGTH_PATTERN + "$"},
            "mm/s": {"type": "string", "pattern": LENGTH_PATTERN + "/s$"},
            "bytes": {"type": "string", "pattern": r"^\s*\d+(\.\d+)?\s*([kMG]i?)?B\s*$"},
            "scale": {
                "anyOf": [
                    {"type": "number", "minimum": self.least},
                    {"type": "string", "pattern": rf"^\s*{NUMBER}\s*(:\s*{NUMBER}|%)\s*$"},
                ]
            },
            "flag": {"type": "boolean"},
            "text": {"type": "string"},
            "choice": {"enum": list(self.choices)},
            "names": {"type": "array", "items": {"type": "string"}},
            "colours": {"type": "array", "items": {"type": "string", "pattern": COLOUR_PATTERN}},
            "speeds": {
                "type": "object",
                "additionalProperties": {"type": "string", "pattern": LENGTH_PATTERN + "/s$"},
            },
            "count": {"type": "integer", "minimum": self.least},
            "count or auto": {"anyOf": [{"type": "integer", "minimum": self.least}, {"const": "auto"}]},
        }
        schema = dict(types.get(self.unit, {"type": "number", "minimum": self.least}))
        if self.default is not None:
            schema["default"] = self.written(self.default)
        schema["description"] = f"{self.reason} ({self.basis})"
        return schema


def _expect(value: object, kind: Any, wanted: str) -> Any:
    if (isinstance(value, bool) and kind is not bool) or not isinstance(value, kind):
        raise SettingError(f"{value!r} is not {wanted}; write that")
    return value


def mm(default: Millimetres, reason: str, basis: Basis = Basis.ASSUMPTION, least: float = 0.0) -> Any:
    """A length setting; profiles write it as a string with a unit."""
    return Setting("mm", default, reason, basis, least)


def points(default: float, reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """A length setting given and shown in points, as type and rules are; mm all the same for whoever reads it."""
    return Setting("pt", default * MILLIMETRES_PER_UNIT["pt"], reason, basis)


def ppi(default: float, reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """How fine an image lies, in pixels per inch; profiles write the number."""
    return Setting("ppi", default, reason, basis)


def colour_difference(default: float, reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """A difference between colours, CIEDE2000; profiles write the number."""
    return Setting("ΔE00", default, reason, basis)


def square_mm(default: float, reason: str, basis: Basis = Basis.ASSUMPTION) -> Any:
    """An area in mm²; profiles write the number."""
    return Setting("mm²", default, reason, basis)


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
            raise SettingError(f"unknown setting; {told}", unknown[0])
        for name, setting in self._fields.items():
            object.__setattr__(self, name, values.get(name, setting.default))

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"settings are read-only: {name}")

    def values(self) -> dict[str, Any]:
        """The values by name."""
        return {name: getattr(self, name) for name in self._fields}

    @classmethod
    def fields(cls) -> dict[str, Setting]:
        """The settings by name, inherited ones first."""
        return dict(cls._fields)

    @classmethod
    def parsed(cls, raw: Mapping[str, object]) -> Self:
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
                raise SettingError(str(error), name) from None
        return cls(**values)
