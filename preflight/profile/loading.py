"""Profiles: extended, checked key by key, laid over the defaults. Knows how files write them; judges no artwork."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import msgspec

from .errors import ProfileError, SettingError
from .names import nearest_name, normalised
from .profile import FILE_KEYS, LEVELS, Override, PluginsTable, Profile, RuleChoice, Step
from .settings import SettingsTable, nearest
from .source import FILE_NAME, ProfileFile, as_written, found, opened
from .tables import LEVELS as RULE_LEVELS
from .tables import TABLES, default_steps
from .units import show_length

__all__ = ["FILE_NAME", "load"]

_TOP = ("extends", *TABLES, "steps", "rules", "overrides")


def load(start: Path | None = None, explicit: Path | None = None) -> Profile:
    """The profile for files in a folder.

    Parameters
    ----------
    start : folder from which ``preflight.toml``, or ``[tool.preflight]`` in ``pyproject.toml``, is looked for
        upwards.
    explicit : a profile named by the user; wins.

    Raises
    ------
    ProfileError
        Naming file, line, key and the mend.
    """
    path = explicit or (None if start is None else found(start))
    if path is None:
        return Profile.default()
    merged: dict[str, Any] = {}
    origins: dict[str, str] = {}
    exclude_folder = path.parent
    for file in _chain(path):
        _checked(file)
        if "exclude" in file.table.get("files", {}):
            exclude_folder = file.path.parent
        _drop_size(merged, origins, file.table)
        _merge(merged, file.table, origins, file, "")
    return msgspec.structs.replace(_built(path, merged, origins), exclude_folder=exclude_folder)


def _chain(path: Path) -> list[ProfileFile]:
    """The profile and those it extends, the most general first."""
    chain = [opened(path)]
    seen = [path.resolve()]
    while (wider := chain[0].table.get("extends")) is not None:
        file = chain[0]
        if not isinstance(wider, str):
            raise file.error(
                "extends", f'{wider!r} is not the path of another profile, such as "../shop.toml"'
            )
        further = file.path.parent / wider
        if further.resolve() in seen:
            raise file.error(
                "extends",
                f"the profiles extend one another in a circle: {further} comes round again; take it out",
            )
        seen.append(further.resolve())
        chain.insert(0, opened(further, file))
    return chain


def _drop_size(merged: Mapping[str, Any], origins: dict[str, str], table: Mapping[str, Any]) -> None:
    """A final size that a profile states stands instead of the one of the profile it is built on."""
    if not {"scale", "width"}.isdisjoint(table.get("job", {})):
        for key in ("scale", "width"):
            merged.get("job", {}).pop(key, None)
            origins.pop(f"job.{key}", None)


def _merge(
    into: dict[str, Any], table: Mapping[str, Any], origins: dict[str, str], file: ProfileFile, prefix: str
) -> None:
    for key, value in table.items():
        dotted = f"{prefix}{key}"
        origins[dotted] = file.place(dotted)
        if isinstance(value, dict):
            _merge(into.setdefault(key, {}), value, origins, file, dotted + ".")
        elif dotted == "overrides":
            before = into.setdefault(key, [])
            for number, one in enumerate(value):
                origins[f"overrides.{len(before)}"] = file.place(f"overrides.{number}")
                origins[f"overrides.{len(before)}.rules"] = file.place(f"overrides.{number}.rules")
                before.append(_override(file, number, one))
        elif dotted in FILE_KEYS:
            into[key] = _files(file, dotted, value)
        else:
            into[key] = value


def _files(file: ProfileFile, dotted: str, value: str | list[str]) -> str | list[str]:
    """Paths that the profile names, taken from its own folder; one or a list as written.

    Raises
    ------
    ProfileError
        There is no such file.
    """
    if isinstance(value, str):
        return _existing(file, dotted, value)
    return [_existing(file, dotted, name) for name in value]


def _existing(file: ProfileFile, dotted: str, name: str) -> str:
    named = file.path.parent / name
    if not named.is_file():
        told = "is a folder, not a file" if named.is_dir() else "does not exist"
        raise file.error(
            dotted,
            f"{name!r} {told} (looked for as {named}); correct the path, which is taken from the profile's folder, "
            "or take it out",
        )
    return str(named)


def _checked(file: ProfileFile) -> None:
    """Refuse keys and shapes that mean nothing, file by file, so that the message names the right one."""
    table = file.table
    _known(file, "", table, _TOP)
    for key, value in table.items():
        if key == "extends":
            continue
        if key == "overrides":
            if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
                raise file.error(key, "write each as a table of its own, [[overrides]]")
            continue
        _table(file, key, value)
    for name in TABLES:
        _settings(file, name, table.get(name, {}))
    for name, step in table.get("steps", {}).items():
        _table(file, f"steps.{name}", step)
        _not_misspelt(file, name)
        _step(file, name, step)
    for name, rule in table.get("rules", {}).items():
        _table(file, f"rules.{name}", rule)
        _level(file, f"rules.{name}.level", rule.get("level"))
    for number, one in enumerate(table.get("overrides", [])):
        _override(file, number, one)


def _table(file: ProfileFile, key: str, value: object) -> None:
    if not isinstance(value, dict):
        raise file.error(key, f"{value!r} is not a table; write [{key}] and its keys below")


def _not_misspelt(file: ProfileFile, step: str) -> None:
    near = nearest_name(step, default_steps())
    if near is not None:
        raise file.error(f"steps.{step}", f"one slip away from a known step; did you mean {near[0]!r}?")


def _known(file: ProfileFile, prefix: str, table: Mapping[str, Any], known: tuple[str, ...]) -> None:
    for key in table:
        if key not in known:
            near = nearest(key, known)
            told = f"did you mean {as_written(prefix)}{near}?" if near else f"known keys: {', '.join(known)}"
            raise file.error(f"{prefix}{key}", f"unknown key; {told}")


def _settings(file: ProfileFile, name: str, raw: Mapping[str, object]) -> SettingsTable:
    _known(file, f"{name}.", raw, tuple(TABLES[name].fields()))
    try:
        return TABLES[name].parsed(dict(raw))
    except SettingError as error:
        raise file.error(f"{name}.{error.setting}", error.told) from None


def _texts(file: ProfileFile, key: str, value: object, example: str = "kiss cut") -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise file.error(key, f'{value!r} is not a list of texts, such as ["{example}"]')
    return tuple(value)


def _level(file: ProfileFile, key: str, value: object, levels: tuple[str, ...] = LEVELS) -> str | None:
    if value is not None and value not in levels:
        raise file.error(key, f"{value!r} is no level here; write one of {', '.join(levels)}")
    return None if value is None else str(value)


def _step(file: ProfileFile, name: str, raw: Mapping[str, Any]) -> None:
    key = f"steps.{name}"
    _known(file, f"{key}.", raw, ("names", "strokes", "level"))
    _texts(file, f"{key}.names", raw.get("names", []))
    for stroke in _texts(file, f"{key}.strokes", raw.get("strokes", []), "#e69f00"):
        if not re.fullmatch(r"#(?:[0-9a-fA-F]{3}|[0-9a-fA-F]{6})", stroke):
            raise file.error(f"{key}.strokes", f'{stroke!r} is no colour; write it as "#e69f00"')
    level = raw.get("level")
    if level == "off":
        raise file.error(
            f"{key}.level", "a step cannot be off; switch rules off under [rules.ID], or take it out"
        )
    _level(file, f"{key}.level", level, RULE_LEVELS)


def _override(file: ProfileFile, number: int, raw: Mapping[str, Any]) -> Override:
    key = f"overrides.{number}"
    _known(file, f"{key}.", raw, ("files", "rules", "level", "reason"))
    reason = raw.get("reason")
    if not isinstance(reason, str) or not reason.strip():
        raise file.error(f"{key}.reason", "an override without a reason is refused; say why, in quotes")
    level = _level(file, f"{key}.level", raw.get("level", "off"))
    files = _texts(file, f"{key}.files", raw.get("files", []), "archive/**")
    rules = _texts(file, f"{key}.rules", raw.get("rules", []), "corner-tight")
    for name, texts in (("files", files), ("rules", rules)):
        if not texts:
            raise file.error(f"{key}.{name}", "an override needs files and rules; name at least one of each")
    return Override(files, rules, level or "off", reason, file.path)


_NAME_LISTS = (("marks", "names"), *(("names", key) for key in TABLES["names"].fields()))
"""The lists of names outside the steps."""


def _owners_of_names(
    steps: Iterable[str], given: Mapping[str, Any], merged: Mapping[str, Any], origins: Mapping[str, str]
) -> dict[str, str]:
    """Normalised name to the key under which the profile's files put it.

    Raises
    ------
    ProfileError
        One name stands for two things.
    """
    said = [(f"steps.{step}.names", raw["names"]) for step, raw in given.items() if "names" in raw]
    said += [(f"{table}.{key}", merged.get(table, {}).get(key, ())) for table, key in _NAME_LISTS]
    iso = {normalised(step): f"steps.{step}.names" for step in steps}
    owners: dict[str, str] = {}
    for key, names in said:
        for name in names:
            owner = owners.setdefault(normalised(name), iso.get(normalised(name), key))
            if owner != key:
                there = f" ({origins[owner]})" if owner in origins else ""
                raise ProfileError(
                    f"{name!r} belongs to {owner} already{there}; keep it in one place", origins[key], key
                )
    return owners


def _not_owned(names: tuple[str, ...], owners: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(name for name in names if normalised(name) not in owners)


def _default_names(table: str, owners: Mapping[str, str]) -> dict[str, list[str]]:
    """The table's default lists of names, less what the profile gives to something else."""
    fields = TABLES[table].fields()
    return {key: list(_not_owned(fields[key].default, owners)) for home, key in _NAME_LISTS if home == table}


def _built(path: Path, merged: Mapping[str, Any], origins: Mapping[str, str]) -> Profile:
    """The profile from the tables of all its files, each checked before."""
    given = merged.get("steps", {})
    names = dict.fromkeys((*default_steps(), *given))
    owners = _owners_of_names(names, given, merged, origins)
    steps = {name: _built_step(name, given.get(name, {}), owners) for name in names}
    tables = {
        name: TABLES[name].parsed({**_default_names(name, owners), **merged.get(name, {})})
        for name in TABLES
        if name != "plugins"
    }
    media = merged.get("media", {})
    width, margin = tables["media"].values()["width"], tables["media"].values()["side_margin"]
    if width is not None and width <= 2 * margin:
        told = f"twice {show_length(margin)} leave nothing of a width of {show_length(width)}; write a smaller margin"
        place = origins["media.side_margin" if "side_margin" in media else "media.width"]
        raise ProfileError(told, place, "media.side_margin")
    for step in merged.get("cutter", {}).get("speed", {}):
        if step not in steps:
            near = nearest(step, list(steps))
            told = f"did you mean {near!r}?" if near else f"known steps: {', '.join(steps)}"
            key = f"cutter.speed.{step}"
            raise ProfileError(f"there is no such step; {told}", origins[key], key)
    rules = {
        name: RuleChoice(raw.get("level"), {key: value for key, value in raw.items() if key != "level"})
        for name, raw in merged.get("rules", {}).items()
    }
    plugins = merged.get("plugins", {})
    return Profile(
        name=path.name,
        steps=steps,
        rules=rules,
        overrides=tuple(merged.get("overrides", [])),
        plugins=PluginsTable(
            tuple(plugins.get("required", ())), tuple(map(Path, plugins.get("rule_files", ())))
        ),
        origins=origins,
        **tables,  # type: ignore[arg-type]  # each name of TABLES is a field of that very class
    )


def _built_step(name: str, given: Mapping[str, Any], owners: Mapping[str, str]) -> Step:
    own = given.get("names")
    names = _not_owned(default_steps().get(name, ()), owners) if own is None else tuple(own)
    return Step(names, tuple(given.get("strokes", ())), given.get("level"))
