"""Profile files: found, read, extended, checked key by key. Knows TOML; judges no artwork."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from .errors import ProfileError
from .lines import lines_of_keys
from .names import nearest_name, normalised
from .profile import FILE_KEYS, LEVELS, Override, PluginsTable, Profile, RuleChoice, Step
from .settings import SettingError, SettingsTable, nearest
from .tables import TABLES, default_steps

__all__ = ["FILE_NAME", "load"]

FILE_NAME = "preflight.toml"
_PROJECT_FILE = "pyproject.toml"
_PROJECT_TABLE = "tool.preflight"
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
        Naming file, key and the nearest valid key.
    """
    path = explicit or (None if start is None else _found(start))
    if path is None:
        return Profile.default()
    merged: dict[str, Any] = {}
    origins: dict[str, str] = {}
    for one, table in _chain(path):
        _checked(one, table)
        text, inside = one.read_text(encoding="utf-8"), one.name == _PROJECT_FILE
        _merge(merged, table, origins, one, "", lines_of_keys(text, f"{_PROJECT_TABLE}." if inside else ""))
    return _built(path, merged, origins)


def _found(start: Path) -> Path | None:
    for folder in (start.resolve(), *start.resolve().parents):
        if (folder / FILE_NAME).is_file():
            return folder / FILE_NAME
        project = folder / _PROJECT_FILE
        if project.is_file() and _speaks_of_us(project) and _tool_table(project) is not None:
            return project
    return None


def _speaks_of_us(project: Path) -> bool:
    """Whether a project file holds our table at all; one that does not is none of our business, sound or not."""
    try:
        return _PROJECT_TABLE.encode() in project.read_bytes()
    except OSError:
        return True  # reading it then says what is wrong, file and reason


def _tool_table(path: Path) -> dict[str, Any] | None:
    tools = _parsed(path).get("tool")
    table = tools.get("preflight") if isinstance(tools, dict) else None
    return table if isinstance(table, dict) else None


def _parsed(path: Path) -> dict[str, Any]:
    import tomllib

    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise ProfileError(
            f"{path}: there is no such profile; correct the path, or write one with preflight init"
        ) from None
    except OSError as error:
        raise ProfileError(
            f"{path}: the profile cannot be read: {error.strerror or error}; name a TOML file that can be"
        ) from None
    except UnicodeDecodeError:
        raise ProfileError(f"{path}: the profile is not UTF-8 text; save it as UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        raise ProfileError(f"{path}: not valid TOML: {error}") from None


def _chain(path: Path) -> list[tuple[Path, dict[str, Any]]]:
    """The profile and those it extends, the most general first."""
    chain: list[tuple[Path, dict[str, Any]]] = []
    seen: list[Path] = []
    current: Path | None = path
    while current is not None:
        if current.resolve() in seen:
            raise ProfileError(
                f"{path}: the profiles extend one another in a circle: {current} comes round again"
            )
        seen.append(current.resolve())
        table = _tool_table(current) if current.name == _PROJECT_FILE else _parsed(current)
        if table is None:
            raise ProfileError(f"{current}: there is no [tool.preflight] table")
        chain.insert(0, (current, table))
        wider = table.get("extends")
        if wider is not None and not isinstance(wider, str):
            raise ProfileError(f"{current}: extends: {wider!r} is not the path of another profile")
        current = None if wider is None else current.parent / wider
    return chain


def _merge(
    into: dict[str, Any],
    table: Mapping[str, Any],
    origins: dict[str, str],
    path: Path,
    prefix: str,
    lines: Mapping[str, int],
) -> None:
    for key, value in table.items():
        dotted = f"{prefix}{key}"
        origins[dotted] = f"{path}:{lines[dotted]}" if dotted in lines else str(path)
        if isinstance(value, dict):
            _merge(into.setdefault(key, {}), value, origins, path, dotted + ".", lines)
        elif dotted == "overrides":
            into[key] = [*into.get(key, []), *((path, one) for one in value)]
        elif dotted in FILE_KEYS:
            into[key] = _files(path, dotted, value)
        else:
            into[key] = value


def _files(path: Path, dotted: str, value: str | list[str]) -> str | list[str]:
    """Paths that the profile names, taken from its own folder; one or a list as written.

    Raises
    ------
    ProfileError
        There is no such file.
    """
    if isinstance(value, str):
        return _existing(path, dotted, value)
    return [_existing(path, dotted, name) for name in value]


def _existing(path: Path, dotted: str, name: str) -> str:
    file = path.parent / name
    if not file.is_file():
        told = "is a folder, not a file" if file.is_dir() else "does not exist"
        raise ProfileError(
            f"{path}: {dotted}: {name!r} {told} (looked for as {file}); correct the path, which is taken from the "
            "profile's folder, or take it out"
        )
    return str(file)


def _checked(path: Path, table: Mapping[str, Any]) -> None:
    """Refuse keys and shapes that mean nothing, file by file, so that the message names the right one."""
    _known(path, "", table, _TOP)
    for key, value in table.items():
        if key in ("extends",):
            continue
        if key == "overrides":
            if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
                raise ProfileError(f"{path}: overrides: write each as a table of its own, [[overrides]]")
            continue
        if not isinstance(value, dict):
            raise ProfileError(f"{path}: {key}: {value!r} is not a table; write [{key}] and its keys below")
    for name in TABLES:
        _settings(path, name, table.get(name, {}))
    for name, step in table.get("steps", {}).items():
        if not isinstance(step, dict):
            raise ProfileError(f"{path}: steps.{name}: {step!r} is not a table; write [steps.{name}]")
        _not_misspelt(path, name)
        _known(path, f"steps.{name}.", step, ("names", "strokes", "level"))
        _step(path, name, step)
    for name, rule in table.get("rules", {}).items():
        if not isinstance(rule, dict):
            raise ProfileError(f"{path}: rules.{name}: {rule!r} is not a table; write [rules.{name}]")
        _level(path, f"rules.{name}.level", rule.get("level"))
    for one in table.get("overrides", []):
        _override(path, one)


def _not_misspelt(path: Path, step: str) -> None:
    near = nearest_name(step, default_steps())
    if near is not None:
        raise ProfileError(
            f"{path}: steps.{step}: one slip away from a known step; did you mean {near[0]!r}?"
        )


def _known(path: Path, prefix: str, table: Mapping[str, Any], known: tuple[str, ...]) -> None:
    for key in table:
        if key not in known:
            near = nearest(key, known)
            told = f"did you mean {prefix}{near}?" if near else f"known keys: {', '.join(known)}"
            raise ProfileError(f"{path}: unknown key {prefix}{key}; {told}")


def _settings(path: Path, name: str, raw: Mapping[str, object]) -> SettingsTable:
    _known(path, f"{name}.", raw, tuple(TABLES[name].fields()))
    try:
        return TABLES[name].parsed(dict(raw))
    except SettingError as error:
        raise ProfileError(f"{path}: {name}.{error}") from None


def _texts(path: Path, key: str, value: object) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise ProfileError(f'{path}: {key}: {value!r} is not a list of texts, such as ["kiss cut"]')
    return tuple(value)


def _level(path: Path, key: str, value: object) -> str | None:
    if value is not None and value not in LEVELS:
        raise ProfileError(f"{path}: {key}: {value!r} is none of {', '.join(LEVELS)}")
    return None if value is None else str(value)


def _step(path: Path, name: str, raw: Mapping[str, Any]) -> Step:
    known = default_steps().get(name, ())
    strokes = _texts(path, f"steps.{name}.strokes", raw.get("strokes", []))
    for stroke in strokes:
        if not re.fullmatch(r"#(?:[0-9a-fA-F]{3}|[0-9a-fA-F]{6})", stroke):
            raise ProfileError(f'{path}: steps.{name}.strokes: {stroke!r} is no colour such as "#e69f00"')
    level = _level(path, f"steps.{name}.level", raw.get("level"))
    if level == "off":
        raise ProfileError(
            f"{path}: steps.{name}.level: a step cannot be off; switch rules off under [rules.ID]"
        )
    names = _texts(path, f"steps.{name}.names", raw["names"]) if "names" in raw else known
    return Step(names, strokes, level)


def _override(path: Path, raw: Mapping[str, Any]) -> Override:
    _known(path, "overrides.", raw, ("files", "rules", "level", "reason"))
    reason = raw.get("reason")
    if not isinstance(reason, str) or not reason.strip():
        raise ProfileError(f"{path}: [[overrides]] reason: say why; an override without a reason is refused")
    level = _level(path, "overrides.level", raw.get("level", "off"))
    files, rules = (_texts(path, f"overrides.{key}", raw.get(key, [])) for key in ("files", "rules"))
    if not files or not rules:
        raise ProfileError(f"{path}: [[overrides]] needs files and rules, each a list that is not empty")
    return Override(files, rules, level or "off", reason, path)


_NAME_LISTS = (("marks", "names"), *(("names", key) for key in TABLES["names"].fields()))
"""The lists of names outside the steps."""


def _owners_of_names(
    path: Path, steps: Mapping[str, Step], given: Mapping[str, Any], merged: Mapping[str, Any]
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
                raise ProfileError(
                    f"{path}: {key}: {name!r} belongs to {owner} already; keep it in one place"
                )
    return owners


def _not_owned(names: tuple[str, ...], owners: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(name for name in names if normalised(name) not in owners)


def _default_names(table: str, owners: Mapping[str, str]) -> dict[str, list[str]]:
    """The table's default lists of names, less what the profile gives to something else."""
    fields = TABLES[table].fields()
    return {key: list(_not_owned(fields[key].default, owners)) for home, key in _NAME_LISTS if home == table}


def _built(path: Path, merged: Mapping[str, Any], origins: Mapping[str, str]) -> Profile:
    given = merged.get("steps", {})
    steps = {name: _step(path, name, given.get(name, {})) for name in (*default_steps(), *given)}
    owners = _owners_of_names(path, steps, given, merged)
    steps = {
        name: step
        if "names" in given.get(name, {})
        else Step(_not_owned(step.names, owners), step.strokes, step.level)
        for name, step in steps.items()
    }
    tables = {
        name: _settings(path, name, {**_default_names(name, owners), **merged.get(name, {})})
        for name in TABLES
        if name != "plugins"
    }
    for step in merged.get("cutter", {}).get("speed", {}):
        if step not in steps:
            near = nearest(step, list(steps))
            told = f"did you mean {near!r}?" if near else f"known steps: {', '.join(steps)}"
            raise ProfileError(
                f"{origins['cutter.speed']}: cutter.speed.{step}: there is no such step; {told}"
            )
    rules = {
        name: RuleChoice(raw.get("level"), {key: value for key, value in raw.items() if key != "level"})
        for name, raw in merged.get("rules", {}).items()
    }
    plugins = merged.get("plugins", {})
    return Profile(
        name=path.name,
        steps=steps,
        rules=rules,
        overrides=tuple(_override(one, raw) for one, raw in merged.get("overrides", [])),
        plugins=PluginsTable(
            tuple(plugins.get("required", ())), tuple(map(Path, plugins.get("rule_files", ())))
        ),
        origins=origins,
        **tables,  # type: ignore[arg-type]  # each name of TABLES is a field of that very class
    )
