"""Profile files: found, read, extended, checked key by key. Knows TOML; judges no artwork."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from .errors import ProfileError
from .profile import LEVELS, Override, PluginsTable, Profile, RuleChoice, Step
from .settings import SettingError, SettingsTable, nearest
from .tables import TABLES, default_steps

__all__ = ["FILE_NAME", "load"]

FILE_NAME = "preflight.toml"
_PROJECT_FILE = "pyproject.toml"
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
        _merge(merged, table, origins, str(one), "")
    return _built(path, merged, origins)


def _found(start: Path) -> Path | None:
    for folder in (start.resolve(), *start.resolve().parents):
        if (folder / FILE_NAME).is_file():
            return folder / FILE_NAME
        project = folder / _PROJECT_FILE
        if project.is_file() and _tool_table(project) is not None:
            return project
    return None


def _tool_table(path: Path) -> dict[str, Any] | None:
    table = _parsed(path).get("tool", {}).get("preflight")
    return table if isinstance(table, dict) else None


def _parsed(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise ProfileError(f"{path}: the profile cannot be read: {error.strerror or error}") from None
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
    into: dict[str, Any], table: Mapping[str, Any], origins: dict[str, str], path: str, prefix: str
) -> None:
    for key, value in table.items():
        dotted = f"{prefix}{key}"
        origins[dotted] = path
        if isinstance(value, dict):
            _merge(into.setdefault(key, {}), value, origins, path, dotted + ".")
        elif dotted == "overrides":
            into[key] = [*into.get(key, []), *value]
        elif dotted == "plugins.rule_files":
            into[key] = [str(Path(path).parent / name) for name in value]
        else:
            into[key] = value


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
        _known(path, f"steps.{name}.", step, ("names", "strokes", "level"))
        _step(path, name, step)
    for name, rule in table.get("rules", {}).items():
        if not isinstance(rule, dict):
            raise ProfileError(f"{path}: rules.{name}: {rule!r} is not a table; write [rules.{name}]")
        _level(path, f"rules.{name}.level", rule.get("level"))
    for one in table.get("overrides", []):
        _override(path, one)


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
    return Override(files, rules, level or "off", reason)


def _built(path: Path, merged: Mapping[str, Any], origins: Mapping[str, str]) -> Profile:
    tables = {name: _settings(path, name, merged.get(name, {})) for name in TABLES if name != "plugins"}
    given = merged.get("steps", {})
    steps = {name: _step(path, name, given.get(name, {})) for name in (*default_steps(), *given)}
    rules = {
        name: RuleChoice(raw.get("level"), {key: value for key, value in raw.items() if key != "level"})
        for name, raw in merged.get("rules", {}).items()
    }
    plugins = merged.get("plugins", {})
    return Profile(
        name=path.name,
        steps=steps,
        rules=rules,
        overrides=tuple(_override(path, raw) for raw in merged.get("overrides", [])),
        plugins=PluginsTable(
            tuple(plugins.get("required", ())), tuple(map(Path, plugins.get("rule_files", ())))
        ),
        origins=origins,
        **tables,  # type: ignore[arg-type]  # each name of TABLES is a field of that very class
    )
