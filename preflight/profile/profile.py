"""The profile in force: the files' values over the defaults, each with its origin. Knows no rule but by its settings."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from .errors import ProfileError
from .globs import matches
from .merging import Merged, merged
from .settings import SettingError, SettingsTable, nearest
from .sources import found_from, read_chain
from .tables import Step

__all__ = ["Profile", "RuleLike", "RuleSettings", "load"]


class RuleLike(Protocol):
    """The part of a rule class that a profile has to do with."""

    Settings: type[SettingsTable]


@dataclass(frozen=True, slots=True)
class RuleSettings:
    """What the profile says of one rule: its level (None: the rule's own; or ``off``) and its raw settings."""

    level: str | None = None
    raw: Mapping[str, Any] | None = None

    def __post_init__(self) -> None:
        if self.raw is None:
            object.__setattr__(self, "raw", {})


@dataclass(frozen=True, slots=True)
class PluginsInForce:
    """Required plug-ins by name; files with rules of the house, absolute."""

    required: tuple[str, ...]
    rule_files: tuple[Path, ...]


class Profile:
    """One shop's profile; lengths in mm, speeds in mm/s, sizes in bytes.

    Attributes
    ----------
    name : the profile's ``name``, else its file's name, else ``default``.
    path : its file, None for the defaults.
    job, media, cutter, marks, output, colours : the tables, values by name.
    steps : tables ``names``, ``strokes``, ``level`` by step.
    rules : `RuleSettings` by rule id, as far as the profile names them.
    limits : reading limits by name.
    """

    def __init__(self, values: Merged) -> None:
        self._values = values
        tables = values.tables
        self.name: str = values.name
        self.path: Path | None = values.path
        self.job: Any = tables["job"]
        self.media: Any = tables["media"]
        self.cutter: Any = tables["cutter"]
        self.marks: Any = tables["marks"]
        self.output: Any = tables["output"]
        self.colours: Any = tables["colours"]
        names: Any = tables["names"]
        self.white_names: tuple[str, ...] = names.white
        self.varnish_names: tuple[str, ...] = names.varnish
        self.information_names: tuple[str, ...] = names.information
        self.ignored_names: tuple[str, ...] = names.ignored
        plugins: Any = tables["plugins"]
        self.plugins = PluginsInForce(plugins.required, tuple(Path(file) for file in plugins.rule_files))
        self.limits: dict[str, float | None] = {
            name: getattr(tables["limits"], name) for name in tables["limits"].fields()
        }
        self.steps: dict[str, Step | Any] = values.steps
        self.rules: dict[str, RuleSettings] = {
            id_: RuleSettings(raw.get("level"), {key: value for key, value in raw.items() if key != "level"})
            for id_, raw in values.rules.items()
        }
        self.overrides = values.overrides

    @classmethod
    def default(cls) -> Profile:
        """The profile of a shop that has written none."""
        return cls(merged([]))

    @classmethod
    def of_file(cls, path: Path) -> Profile:
        """The profile in a file, with all it extends.

        Raises
        ------
        ProfileError
        """
        return cls(merged(read_chain(path)))

    @property
    def tables(self) -> dict[str, SettingsTable]:
        """The plain tables by name."""
        return self._values.tables

    def origin_of(self, key: str) -> str:
        """Where the effective value of a dotted key came from: file and line, or the default's basis and reason."""
        return self._values.origin_of(key)

    def rule(self, id_: str, file: str | None = None) -> RuleSettings:
        """What the profile says of a rule, for one file: the last override that matches wins."""
        chosen = self.rules.get(id_, RuleSettings())
        level = chosen.level
        if file is not None:
            for override in self.overrides:
                if id_ in override.table.rules and any(
                    matches(glob, file, override.folder) for glob in override.table.files
                ):
                    level = override.table.level
        return chosen if level == chosen.level else RuleSettings(level, chosen.raw)

    @property
    def digest(self) -> str:
        """``sha256:…`` over every effective value; rule files count by their content."""
        return "sha256:" + hashlib.sha256(json.dumps(self._effective(), sort_keys=True).encode()).hexdigest()

    def _effective(self) -> dict[str, Any]:
        tables = {**self.tables, **{f"steps.{name}": table for name, table in self.steps.items()}}
        plain: dict[str, Any] = {
            name: {key: getattr(table, key) for key in table.fields()} for name, table in tables.items()
        }
        plain["rules"] = self._values.rules
        plain["overrides"] = [
            {key: getattr(one.table, key) for key in one.table.fields()} for one in self.overrides
        ]
        for table, key in (("plugins", "rule_files"), ("colours", "libraries"), ("output", "icc_profile")):
            files = plain[table][key]
            files = files if isinstance(files, tuple) else (files,) if files else ()
            plain[table][key] = [_content_digest(Path(file)) for file in files]
        return plain

    def validate_rules(self, rules: Mapping[str, type[RuleLike]]) -> None:
        """Check what the profile says of rules against the rules there are.

        Raises
        ------
        ProfileError
            An unknown rule or setting, with the nearest known; or a value the setting cannot take.
        """
        for id_, raw in self._values.rules.items():
            key = f"rules.{id_}"
            if id_ not in rules:
                raise ProfileError(_unknown("rule", id_, list(rules)), self._values.file_of(key), key)
            settings = rules[id_].Settings.fields()
            for name, value in raw.items():
                dotted = f"{key}.{name}"
                if name == "level":
                    continue
                if name not in settings:
                    told = _unknown("setting", name, [*settings, "level"])
                    raise ProfileError(told, self._values.file_of(dotted), dotted)
                try:
                    settings[name].parsed(value)
                except SettingError as error:
                    raise ProfileError(str(error), self._values.file_of(dotted), dotted) from None
        for override in self.overrides:
            for id_ in override.table.rules:
                if id_ not in rules:
                    told = _unknown("rule", id_, list(rules))
                    raise ProfileError(told, override.file, f"{override.key}.rules")


def load(start: Path | None = None, explicit: Path | None = None) -> Profile:
    """The profile for files in a folder.

    Parameters
    ----------
    start : folder or file from which upwards ``preflight.toml`` or a ``pyproject.toml`` with ``[tool.preflight]``
        is looked for; None: the working folder.
    explicit : a profile's file, taken instead.

    Raises
    ------
    ProfileError
        A file cannot be read, a key is unknown, or a value is of the wrong kind.
    """
    path = explicit if explicit is not None else found_from(Path.cwd() if start is None else start)
    return Profile.default() if path is None else Profile.of_file(path)


def _unknown(what: str, name: str, known: list[str]) -> str:
    near = nearest(name, known)
    return f"there is no {what} {name!r}; " + (
        f"did you mean {near!r}?" if near else f"known: {', '.join(known) or 'none'}"
    )


def _content_digest(path: Path) -> str:
    # A missing file is told by whoever needs it; here it only has to differ from one that is there.
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else f"missing {path.name}"
