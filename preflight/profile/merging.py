"""Lays the files of a profile over the defaults, strictly, and keeps where each value came from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from .names import normalised
from .settings import Setting, SettingError, SettingsTable, nearest
from .sources import Source
from .tables import LEVELS, TABLES, Override, Step, default_steps

__all__ = ["Merged", "OverrideInForce", "merged"]

ADDING = {("marks", "names"), *(("names", key) for key in TABLES["names"].fields())}
"""Lists of names that a profile adds to; every other value replaces the one before."""

PATHS = {("plugins", "rule_files"), ("colours", "libraries"), ("output", "icc_profile")}
"""Values that are paths from the folder of the file naming them."""

TOP_KEYS = ("name", "extends", *TABLES, "steps", "rules", "overrides")


@dataclass(frozen=True, slots=True)
class OverrideInForce:
    """One [[overrides]] entry, the file it stands in, and its key there."""

    table: Any
    file: Path
    key: str

    @property
    def folder(self) -> Path:
        """Where its globs start."""
        return self.file.parent


@dataclass(slots=True)
class Merged:
    """Effective values and their origins."""

    tables: dict[str, SettingsTable] = field(default_factory=dict)
    steps: dict[str, Any] = field(default_factory=dict)
    rules: dict[str, dict[str, Any]] = field(default_factory=dict)
    overrides: list[OverrideInForce] = field(default_factory=list)
    name: str = "default"
    path: Path | None = None
    sources: dict[str, list[Source]] = field(default_factory=dict)
    """Dotted key to the files that speak of it, the one that counts last."""

    def origin_of(self, key: str) -> str:
        """Where a value came from, in words."""
        said = self.sources.get(key, [])
        setting = self._setting(key)
        default = "the rule's own" if setting is None else f"default ({setting.basis}: {setting.reason})"
        if not said:
            return default
        table, _, last = key.rpartition(".")
        if (table, last) in ADDING or (table.startswith("steps.") and last in {"names", "strokes"}):
            return ", ".join([*(source.place(key) for source in said), "added to: " + default])
        return said[-1].place(key)

    def file_of(self, key: str) -> Path | None:
        """The file that speaks of a key last."""
        said = self.sources.get(key)
        return said[-1].path if said else self.path

    def _setting(self, key: str) -> Setting | None:
        table, _, last = key.rpartition(".")
        kind = Step if table.startswith("steps.") else TABLES.get(table)
        return None if kind is None else kind.fields().get(last)


class _Names:
    """Which table each name belongs to: what is said later counts, within one file a name has one place."""

    def __init__(self) -> None:
        self._places: dict[str, tuple[str, str]] = {}
        self._said_in: dict[str, Source | None] = {}

    def say(self, key: str, names: Sequence[str], source: Source | None) -> None:
        for name in names:
            plain = normalised(name)
            before = self._places.get(plain)
            if source is not None and before and before[0] != key and self._said_in[plain] is source:
                raise source.error(key, f"{name!r} stands under {before[0]} as well; keep it in one place")
            if before is None or source is not None:
                self._places[plain] = key, name
                self._said_in[plain] = source

    def of(self, key: str) -> tuple[str, ...]:
        return tuple(name for place, name in self._places.values() if place == key)


def merged(chain: Sequence[Source]) -> Merged:
    """The values of a chain of files, the farthest first, over the defaults.

    Raises
    ------
    ProfileError
        An unknown key, a value of the wrong kind, a name in two places; with file, key and mend.
    """
    result = Merged()
    known = _Names()
    plain: dict[str, dict[str, Any]] = {name: {} for name in TABLES}
    steps: dict[str, dict[str, Any]] = {name: {} for name in default_steps()}
    for name, trade_words in default_steps().items():
        known.say(f"steps.{name}.names", trade_words, None)
    for table, key in sorted(ADDING):
        known.say(f"{table}.{key}", TABLES[table].fields()[key].default, None)
    for source in chain:
        _refuse_unknown(source, "", source.tables, TOP_KEYS)
        for name, kind in TABLES.items():
            raw = _table(source, name, source.tables.get(name, {}))
            plain[name].update(_parsed(source, name, raw, kind, result))
        for step, raw in _table(source, "steps", source.tables.get("steps", {})).items():
            key = f"steps.{step}"
            own = steps.setdefault(step, {})
            values = _parsed(source, key, _table(source, key, raw), Step, result)
            values["strokes"] = tuple(dict.fromkeys((*own.get("strokes", ()), *values.get("strokes", ()))))
            own.update(values)
        _say_names(source, known, steps)
        _take_rules(source, result)
        _take_overrides(source, result)
        result.name, result.path = _name(source), source.path
    for table, key in ADDING:
        plain[table][key] = known.of(f"{table}.{key}")
    for step, values in steps.items():
        values["names"] = known.of(f"steps.{step}.names")
    result.tables = {name: kind(**plain[name]) for name, kind in TABLES.items()}
    result.steps = {step: Step(**values) for step, values in steps.items()}
    _refuse_unknown_speeds(result)
    return result


def _say_names(source: Source, known: _Names, steps: dict[str, Any]) -> None:
    said = [(f"{table}.{key}", source.tables.get(table, {}).get(key, ())) for table, key in sorted(ADDING)]
    said += [
        (f"steps.{step}.names", raw.get("names", ())) for step, raw in source.tables.get("steps", {}).items()
    ]
    types = {normalised(step): step for step in steps}
    for key, names in said:
        for name in names:
            step = types.get(normalised(name))
            if step is not None and key != f"steps.{step}.names":
                raise source.error(
                    key, f"{name!r} is the name of step {step} itself and cannot mean anything else"
                )
        known.say(key, names, source)


def _parsed(
    source: Source, table: str, raw: dict[str, Any], kind: type[SettingsTable], result: Merged
) -> dict[str, Any]:
    fields = kind.fields()
    _refuse_unknown(source, table, raw, tuple(fields))
    values = {}
    for key, value in raw.items():
        dotted = f"{table}.{key}"
        try:
            values[key] = fields[key].parsed(value)
        except SettingError as error:
            raise source.error(dotted, str(error)) from None
        if (table, key) in PATHS:
            values[key] = _from_folder(values[key], source.path.parent)
        result.sources.setdefault(dotted, []).append(source)
    return values


def _from_folder(value: Any, folder: Path) -> Any:
    if isinstance(value, tuple):
        return tuple(str(folder / path) for path in value)
    return str(folder / value)


def _take_rules(source: Source, result: Merged) -> None:
    for id_, raw in _table(source, "rules", source.tables.get("rules", {})).items():
        key = f"rules.{id_}"
        settings = _table(source, key, raw)
        _level(source, f"{key}.level", settings.get("level", "off"))
        result.rules.setdefault(id_, {}).update(settings)
        for name in settings:
            result.sources.setdefault(f"{key}.{name}", []).append(source)
        result.sources.setdefault(key, []).append(source)


def _level(source: Source, key: str, level: object) -> None:
    if level not in (*LEVELS, "off"):
        near = nearest(level, (*LEVELS, "off")) if isinstance(level, str) else None
        raise source.error(
            key,
            f"{level!r} is none of {', '.join(LEVELS)}, off" + (f"; did you mean {near!r}?" if near else ""),
        )


def _take_overrides(source: Source, result: Merged) -> None:
    entries = source.tables.get("overrides", [])
    if not isinstance(entries, list):
        raise source.error("overrides", "write each override as a table of its own, headed [[overrides]]")
    for index, raw in enumerate(entries):
        key = f"overrides[{index}]"
        values = _parsed(source, key, _table(source, key, raw), Override, result)
        for needed in ("files", "rules", "reason"):
            value = values.get(needed)
            if not value or (isinstance(value, str) and not value.strip()):
                raise source.error(f"{key}.{needed}", f"an override needs {needed}; say it in the profile")
        result.overrides.append(OverrideInForce(Override(**values), source.path, key))


def _table(source: Source, key: str, raw: object) -> dict[str, Any]:
    if not isinstance(raw, dict):
        raise source.error(key, f"{raw!r} is not a table; head it [{key}]")
    return raw


def _name(source: Source) -> str:
    name = source.tables.get("name", source.path.name)
    if not isinstance(name, str):
        raise source.error("name", f"{name!r} is not a name in quotes")
    return name


def _refuse_unknown(source: Source, table: str, raw: dict[str, Any], known: tuple[str, ...]) -> None:
    for key in raw:
        if key not in known:
            near = nearest(key, known)
            told = f"did you mean {near!r}?" if near else f"known keys: {', '.join(known)}"
            raise source.error(f"{table}.{key}" if table else key, f"unknown key; {told}")


def _refuse_unknown_speeds(result: Merged) -> None:
    cutter: Any = result.tables["cutter"]
    for step in cutter.speed:
        if step not in result.steps:
            near = nearest(step, list(result.steps))
            told = f"did you mean {near!r}?" if near else f"known steps: {', '.join(result.steps)}"
            said = result.sources["cutter.speed"][-1]
            raise said.error(f"cutter.speed.{step}", f"there is no step {step!r}; {told}")
