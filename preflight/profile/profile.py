"""The shop profile as the program uses it. Knows no file syntax; see `loading`."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Any, TypeAlias

import msgspec

from .errors import ProfileError, SettingError
from .globs import matches
from .settings import nearest
from .tables import LEVELS as RULE_LEVELS
from .tables import (
    TABLES,
    Colours,
    Cutter,
    Files,
    JobTable,
    Limits,
    Marks,
    Media,
    Names,
    Output,
    default_steps,
)

__all__ = ["Override", "PluginsTable", "Profile", "RuleChoice", "RuleClass", "Step"]

LEVELS = (*RULE_LEVELS, "off")

FILE_KEYS = ("colours.libraries", "output.icc_profile", "plugins.rule_files")
"""Keys whose values are paths, written from the profile's folder and held whole."""


RuleClass: TypeAlias = Any
"""A class with a nested ``Settings`` table: rules lie above the profile, so their type cannot be named here, and
a protocol cannot say that a class object holds a class."""


class Step(msgspec.Struct, frozen=True):
    """One processing step: the names and stroke colours that mark it, the level of findings about it."""

    names: tuple[str, ...] = ()
    strokes: tuple[str, ...] = ()
    level: str | None = None


class RuleChoice(msgspec.Struct, frozen=True):
    """What the profile says of one rule: its level, or None for the rule's own; its settings as written."""

    level: str | None = None
    raw: Mapping[str, object] = msgspec.field(default_factory=dict)


class Override(msgspec.Struct, frozen=True):
    """Rules set otherwise for some files, with the reason; ``file`` is the profile that says so."""

    files: tuple[str, ...]
    rules: tuple[str, ...]
    level: str
    reason: str
    file: Path = Path("preflight.toml")


class PluginsTable(msgspec.Struct, frozen=True):
    """Plug-ins that must load, and files holding house rules."""

    required: tuple[str, ...] = ()
    rule_files: tuple[Path, ...] = ()


class Profile(msgspec.Struct, frozen=True, dict=True):
    """Everything a file is judged by. ``name`` tells the file it came from, or ``default``.

    ``origins`` gives, for each dotted key that a file sets, that file's path and line; ``exclude_folder`` is the folder from which
    ``files.exclude`` is written.
    """

    name: str = "default"
    files: Files = msgspec.field(default_factory=Files)
    job: JobTable = msgspec.field(default_factory=JobTable)
    media: Media = msgspec.field(default_factory=Media)
    cutter: Cutter = msgspec.field(default_factory=Cutter)
    marks: Marks = msgspec.field(default_factory=Marks)
    output: Output = msgspec.field(default_factory=Output)
    names: Names = msgspec.field(default_factory=Names)
    colours: Colours = msgspec.field(default_factory=Colours)
    limits: Limits = msgspec.field(default_factory=Limits)
    steps: Mapping[str, Step] = msgspec.field(
        default_factory=lambda: {key: Step(value) for key, value in default_steps().items()}
    )
    rules: Mapping[str, RuleChoice] = msgspec.field(default_factory=dict)
    overrides: tuple[Override, ...] = ()
    plugins: PluginsTable = msgspec.field(default_factory=PluginsTable)
    origins: Mapping[str, str] = msgspec.field(default_factory=dict)
    exclude_folder: Path = Path()

    @classmethod
    def default(cls) -> Profile:
        """The profile in force where no file says otherwise."""
        return cls()

    @property
    def white_names(self) -> tuple[str, ...]:
        """Names of white ink."""
        return tuple(self.names.white)

    @property
    def varnish_names(self) -> tuple[str, ...]:
        """Names of varnish."""
        return tuple(self.names.varnish)

    @property
    def information_names(self) -> tuple[str, ...]:
        """Names of what informs people and is no artwork."""
        return tuple(self.names.information)

    @property
    def ignored_names(self) -> tuple[str, ...]:
        """Names of what is left out altogether."""
        return tuple(self.names.ignored)

    @cached_property
    def digest(self) -> str:
        """``sha256:…`` over every effective value; equal profiles have equal digests wherever they lie.

        A file that the profile names counts by its content, not by its path.

        Raises
        ------
        ProfileError
            A file that the profile names cannot be read.
        """
        values = dict(self.effective())
        for key in FILE_KEYS:
            place = self.origins.get(key, self.name)
            values[key] = [_content_digest(key, path, place) for path in self._files(key)]
        return "sha256:" + hashlib.sha256(msgspec.json.encode(values, order="sorted")).hexdigest()

    def _files(self, key: str) -> tuple[Path, ...]:
        """The paths that one of `FILE_KEYS` holds."""
        table, name = key.split(".")
        held = getattr(getattr(self, table), name)
        return tuple(map(Path, (held,) if isinstance(held, str) else held or ()))

    def effective(self) -> list[tuple[str, Any]]:
        """Every value by its dotted key, in the order of the tables."""
        rows: list[tuple[str, Any]] = []
        for table, kind in TABLES.items():
            if table == "plugins":
                continue
            held = getattr(self, table)
            rows += [
                (f"{table}.{key}", setting.shown(getattr(held, key)))
                for key, setting in kind.fields().items()
            ]
        for name, step in self.steps.items():
            rows.append((f"steps.{name}.names", list(step.names)))
            rows += [(f"steps.{name}.strokes", list(step.strokes))] if step.strokes else []
            rows += [(f"steps.{name}.level", step.level)] if step.level else []
        for rule, chosen in sorted(self.rules.items()):
            rows += [(f"rules.{rule}.level", chosen.level)] if chosen.level else []
            rows += [(f"rules.{rule}.{key}", value) for key, value in chosen.raw.items()]
        for number, one in enumerate(self.overrides):
            said = {
                "files": list(one.files),
                "rules": list(one.rules),
                "level": one.level,
                "reason": one.reason,
            }
            rows.append((f"overrides.{number}", said))
        rows.append(("plugins.required", list(self.plugins.required)))
        rows.append(("plugins.rule_files", [str(path) for path in self.plugins.rule_files]))
        return rows

    def with_job(self, said: Mapping[str, object], origin: str) -> Profile:
        """The profile with some values of [job] stated otherwise, as a profile writes them.

        Either of ``scale`` and ``width`` stands instead of what the profile says of both. ``origin`` tells who says so,
        with ``{key}`` for the key.

        Raises
        ------
        SettingError
            A value that [job] cannot take, or both ``scale`` and ``width``.
        """
        given = JobTable.parsed(said).values()
        size = ("scale", "width") if "scale" in said or "width" in said else ()
        values = self.job.values() | dict.fromkeys(size) | {key: given[key] for key in said}
        origins = {key: place for key, place in self.origins.items() if key.removeprefix("job.") not in size}
        origins |= {f"job.{key}": origin.format(key=key) for key in said}
        return msgspec.structs.replace(self, job=JobTable(**values), origins=origins)

    def rule(self, id_: str, path: str) -> RuleChoice:
        """What is said of a rule for one file: its table, then the overrides that match the file, last wins."""
        chosen = self.rules.get(id_, RuleChoice())
        override = self.override_of(id_, path)
        return chosen if override is None else RuleChoice(override.level, chosen.raw)

    def override_of(self, id_: str, path: str) -> Override | None:
        """The override that holds for a rule and a file: the last that names both, or None."""
        for one in reversed(self.overrides):
            if id_ in one.rules and any(matches(glob, path, one.file.parent) for glob in one.files):
                return one
        return None

    @property
    def glob_folders(self) -> frozenset[Path]:
        """The folders from which its globs are written, which the digest says nothing of."""
        excluding = {self.exclude_folder.resolve()} if self.files.exclude else set()
        return frozenset(excluding | {one.file.parent.resolve() for one in self.overrides})

    def excluded_by(self, path: str) -> str | None:
        """The glob of ``files.exclude`` that leaves a file out, with the place where it is written; None where none does."""
        for glob in self.files.exclude:
            if matches(glob, path, self.exclude_folder):
                return f"{glob!r} in [files] exclude ({self.origins['files.exclude']})"
        return None

    def validate_rules(self, rules: Mapping[str, RuleClass]) -> None:
        """Hold the rule tables against the rules there are.

        Raises
        ------
        ProfileError
            A rule or setting that does not exist, with the nearest that does; a value it cannot take.
        """
        for id_, chosen in self.rules.items():
            table = f"rules.{id_}"
            if id_ not in rules:
                raise self._error(table, f"there is no such rule; {_meant(id_, rules)}")
            if _always(rules[id_]):
                raise self._error(table, _ALWAYS)
            try:
                rules[id_].Settings.parsed(dict(chosen.raw))
            except SettingError as error:
                raise self._error(f"{table}.{error.setting}", error.told) from None
        for number, one in enumerate(self.overrides):
            for id_ in one.rules:
                key = f"overrides.{number}.rules"
                if id_ not in rules:
                    raise self._error(key, f"there is no rule {id_!r}; {_meant(id_, rules)}")
                if _always(rules[id_]):
                    raise self._error(key, f"{id_!r}: {_ALWAYS}")

    def _error(self, key: str, message: str) -> ProfileError:
        """What is wrong with a key of the profile's files. Which override it is, the line tells."""
        shown = "overrides.rules" if key.startswith("overrides.") else key
        return ProfileError(message, self.origins.get(key, self.name), shown)


def _content_digest(key: str, path: Path, place: str) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        told = f"{path} cannot be read: {error.strerror or error}; make it readable, or take it out"
        raise ProfileError(told, place, key) from None


_ALWAYS = "it is always reported, and at its own level; take it out of the profile"


def _always(rule: RuleClass) -> bool:
    return bool(getattr(rule, "by_engine", False))


def _meant(name: str, known: Mapping[str, RuleClass]) -> str:
    near = nearest(name, list(known))
    return f"did you mean {near!r}?" if near else "preflight explain lists them"
