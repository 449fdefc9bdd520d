"""Hooks for rules, readers and reports, and the loading of plug-ins, each on its own. Knows no rule."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from importlib.metadata import Distribution, EntryPoint, entry_points, version
from pathlib import Path
from typing import Any

import pluggy

from preflight.profile.settings import nearest
from preflight.readers.reader import Reader
from preflight.reports.report import PluginUse, Renderer
from preflight.rule import Rule, page_sections

__all__ = ["API_VERSION", "ENTRY_POINT_GROUP", "PluginError", "Plugins", "hookimpl"]

API_VERSION = 1
"""Raised when a hook's arguments or meaning change. A plug-in states it as ``PREFLIGHT_API``."""

ENTRY_POINT_GROUP = "artwork_preflight"

hookspec = pluggy.HookspecMarker("preflight")
hookimpl = pluggy.HookimplMarker("preflight")


class Hooks:
    """What a plug-in may implement. Each hook is called once, when the plug-ins are loaded."""

    @hookspec
    def preflight_rules(self) -> Sequence[type[Rule]]:
        """The rule classes the plug-in brings. Import their modules inside the hook: start-up is a feature."""
        raise NotImplementedError

    @hookspec
    def preflight_readers(self) -> Sequence[Reader]:
        """The readers the plug-in brings; asked in the order of registration whether a file is theirs."""
        raise NotImplementedError

    @hookspec
    def preflight_renderers(self) -> Sequence[type[Renderer]]:
        """The renderer classes the plug-in brings."""
        raise NotImplementedError


class PluginError(Exception):
    """A required plug-in cannot be loaded, or two plug-ins bring the same name."""


@dataclass(frozen=True, slots=True)
class Failure:
    """A plug-in that could not be loaded, with the reason."""

    plugin: str
    message: str


class Plugins:
    """The plug-ins in use: those installed, and house rules from files named in the profile.

    Parameters
    ----------
    required : names of distributions or entry points that must load.
    rule_files : Python files holding Rule classes.

    Raises
    ------
    PluginError
        A required plug-in fails, or a rule file does.
    """

    def __init__(self, required: Sequence[str] = (), rule_files: Sequence[Path] = ()) -> None:
        self.uses: list[PluginUse] = []
        self.failures: list[Failure] = []
        self._manager = pluggy.PluginManager("preflight")
        self._manager.add_hookspecs(Hooks)
        self._house_rules: list[type[Rule]] = []
        found = sorted(entry_points(group=ENTRY_POINT_GROUP), key=_built_in_first)
        loaded = {
            name for point in found if self._load(point) for name in (point.name, _distribution_name(point))
        }
        self._refuse_missing(required, loaded, found)
        for path in rule_files:
            self._house_rules += _rules_of_file(path)

    def _load(self, point: EntryPoint) -> bool:
        """Load one plug-in; a failure is kept, not raised, so that the others still work."""
        name = point.name
        try:
            plugin = point.load()
            wanted = getattr(plugin, "PREFLIGHT_API", API_VERSION)
            if wanted != API_VERSION:
                raise PluginError(f"it is written for plug-in API {wanted}, this program has {API_VERSION}")
            self._manager.register(plugin, name=name)
            self._manager.check_pending()
        except Exception as error:  # a stranger's code may raise anything
            if self._manager.has_plugin(name):
                self._manager.unregister(name=name)
            self.failures.append(Failure(f"{name} {_version_of(point)}", f"{type(error).__name__}: {error}"))
            return False
        self.uses.append(PluginUse(name, _version_of(point)))
        return True

    def _refuse_missing(self, required: Sequence[str], loaded: set[str], found: Iterable[EntryPoint]) -> None:
        for name in required:
            if name in loaded:
                continue
            reasons = [failure.message for failure in self.failures if failure.plugin.split(" ")[0] == name]
            near = nearest(name, sorted({point.name for point in found}))
            told = reasons[0] if reasons else "not installed" + (f"; did you mean {near!r}?" if near else "")
            host = version("artwork-preflight")
            raise PluginError(
                f"plug-in {name!r}, required by the profile, cannot be loaded by {host}: {told}"
            )

    @cached_property
    def rules(self) -> dict[str, type[Rule]]:
        """Every rule by id, sorted."""
        brought = [rule for rules in self._called("preflight_rules") for rule in rules] + self._house_rules
        return {rule.id: rule for rule in sorted(_unique(brought, "id"), key=lambda rule: rule.id)}

    @cached_property
    def readers(self) -> tuple[Reader, ...]:
        """Every reader, in the order in which they are asked."""
        return tuple(reader for readers in self._called("preflight_readers") for reader in readers)

    @cached_property
    def renderers(self) -> dict[str, type[Renderer]]:
        """Every renderer by the name of its format."""
        brought = [renderer for renderers in self._called("preflight_renderers") for renderer in renderers]
        return {renderer.format: renderer for renderer in _unique(brought, "format")}

    def _called(self, hook: str) -> list[Any]:
        """The hook's results, plug-in by plug-in in order of loading; one that raises is set aside."""
        results = []
        for name, plugin in self._manager.list_name_plugin():
            implementation = getattr(plugin, hook, None)
            if implementation is None:
                continue
            try:
                results.append(list(implementation()))
            except Exception as error:  # a stranger's code may raise anything
                self.failures.append(Failure(name, f"{hook}: {type(error).__name__}: {error}"))
        return results


def _rules_of_file(path: Path) -> list[type[Rule]]:
    spec = importlib.util.spec_from_file_location(f"preflight_house_{path.stem}", path)
    if spec is None or spec.loader is None or not path.is_file():
        raise PluginError(f"{path}: the rule file named in the profile is not a Python file that can be read")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    try:
        spec.loader.exec_module(module)
    except Exception as error:
        raise PluginError(
            f"{path}: the rule file cannot be loaded: {type(error).__name__}: {error}"
        ) from error
    rules = [
        value
        for value in vars(module).values()
        if isinstance(value, type)
        and issubclass(value, Rule)
        and value is not Rule
        and value.__module__ == spec.name
    ]
    if not rules:
        raise PluginError(f"{path}: the rule file holds no class derived from preflight.rule.Rule")
    for rule in rules:
        try:
            page_sections(rule)
        except ValueError as error:
            raise PluginError(f"{path}: {error}") from None
    return rules


def _unique(brought: Sequence[Any], key: str) -> Sequence[Any]:
    seen: dict[str, Any] = {}
    for item in brought:
        name = getattr(item, key)
        if name in seen and seen[name] is not item:
            raise PluginError(
                f"two plug-ins bring {key} {name!r}: {seen[name].__module__} and {item.__module__}"
            )
        seen[name] = item
    return list(seen.values())


def _built_in_first(point: EntryPoint) -> tuple[bool, str]:
    return not point.name.startswith("preflight_"), point.name


def _distribution(point: EntryPoint) -> Distribution | None:
    return point.dist


def _distribution_name(point: EntryPoint) -> str:
    distribution = _distribution(point)
    return point.name if distribution is None else distribution.name


def _version_of(point: EntryPoint) -> str:
    distribution = _distribution(point)
    return "unknown" if distribution is None else distribution.version
