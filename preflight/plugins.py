"""Hooks for rules, readers and reports, and the loading of plug-ins, each on its own. Knows no rule."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from importlib import import_module
from operator import attrgetter
from pathlib import Path
from typing import Any, Final, Literal

import msgspec
import pluggy

from preflight.entry_points import EntryPoint, declared
from preflight.profile.settings import nearest
from preflight.readers.reader import Reader
from preflight.reports.report import PluginUse, Renderer
from preflight.rule import Rule, page_sections

__all__ = ["API_VERSION", "ENTRY_POINT_GROUP", "PluginError", "Plugins", "hookimpl"]

API_VERSION = 1
"""Raised when a hook's arguments or meaning change. A plug-in states it as ``PREFLIGHT_API``."""

ENTRY_POINT_GROUP = "artwork_preflight"

HOST = "artwork-preflight"
"""The distribution whose own plug-ins must always load: without them nothing would be found wrong."""

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
    """A required plug-in cannot be loaded, or two plug-ins bring the same name.

    ``key`` is the key of the profile that asks for it, None where no profile does.
    """

    def __init__(
        self, message: str, key: Literal["plugins.required", "plugins.rule_files"] | None = None
    ) -> None:
        self.key = key
        super().__init__(message)


class Failure(msgspec.Struct, frozen=True):
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
        A required plug-in fails or is not installed, or a rule file fails.
    """

    def __init__(self, required: Sequence[str] = (), rule_files: Sequence[Path] = ()) -> None:
        self.uses: list[PluginUse] = []
        self.failures: list[Failure] = []
        self._manager = pluggy.PluginManager("preflight")
        self._manager.add_hookspecs(Hooks)
        found = sorted(declared(ENTRY_POINT_GROUP), key=_built_in_first)
        self.version = _host_version(found)
        self._points = {point.name: point for point in found}
        self._required = {
            point.name for point in found if point.name in required or point.distribution in {*required, HOST}
        }
        _refuse_missing(required, found)
        for point in found:
            self._load(point)
        self._house_rules = [rule for path in rule_files for rule in _rules_of_file(path)]

    def _load(self, point: EntryPoint) -> None:
        """Load one plug-in, on its own."""
        name = point.name
        try:
            plugin = _loaded(point)
            wanted = getattr(plugin, "PREFLIGHT_API", None)
            if wanted != API_VERSION:
                raise PluginError(
                    f"it is written for plug-in API {wanted}, this program has {API_VERSION}"
                    if wanted is not None
                    else f"it does not say PREFLIGHT_API = {API_VERSION}"
                )
            self._register(plugin, name)
        except Exception as error:  # a stranger's code may raise anything
            self._set_aside(name, error)
        else:
            self.uses.append(PluginUse(name, point.version))

    def _register(self, plugin: Any, name: str) -> None:
        if self._manager.has_plugin(name):
            raise PluginError(f"another installed plug-in is called {name!r} as well")
        self._manager.register(plugin, name=name)
        try:
            self._manager.check_pending()
        except pluggy.PluginValidationError:
            self._manager.unregister(name=name)
            raise

    def _set_aside(self, name: str, error: Exception) -> None:
        """Keep a plug-in's failure, so that the others still work; a required plug-in may not fail.

        Raises
        ------
        PluginError
        """
        told = str(error) if isinstance(error, PluginError) else f"{type(error).__name__}: {error}"
        if name in self._required:
            raise PluginError(
                f"plug-in {name!r} is required and does not work with {HOST} {self.version}: {told}",
                None if self._points[name].distribution == HOST else "plugins.required",
            ) from error
        self.failures.append(Failure(f"{name} {self._points[name].version}", told))

    def ask_all(self) -> None:
        """Ask every plug-in for all it brings, so that every failure is known before work starts.

        Raises
        ------
        PluginError
            A required plug-in fails, or a house rule has the id of another rule.
        """
        _ = self.rules, self.readers, self.renderers

    @cached_property
    def rules(self) -> dict[str, type[Rule]]:
        """Every rule by id, sorted. Where two plug-ins bring one id, the first to load keeps it."""
        brought = self._by_name("preflight_rules", "id", page_sections)
        for rule in self._house_rules:
            if brought.setdefault(rule.id, rule) is not rule:
                where = brought[rule.id].__module__
                raise PluginError(
                    f"house rule {rule.id!r} has the id of a rule in {where}: rename it", _RULE_FILES
                )
        return dict(sorted(brought.items()))

    @cached_property
    def readers(self) -> tuple[Reader, ...]:
        """Every reader, in the order in which they are asked."""
        return tuple(reader for _, reader in self._brought("preflight_readers"))

    @cached_property
    def renderers(self) -> dict[str, type[Renderer]]:
        """Every renderer by the name of its format."""
        return self._by_name("preflight_renderers", "format")

    def _brought(self, hook: str) -> Iterator[tuple[str, Any]]:
        """What the plug-ins bring, each with its plug-in's name, in order of loading."""
        for name, plugin in self._manager.list_name_plugin():
            implementation = getattr(plugin, hook, None)
            if implementation is None:
                continue
            try:
                items = list(implementation())
            except Exception as error:  # a stranger's code may raise anything
                self._set_aside(name, error)
                continue
            for item in items:
                yield name, item

    def _by_name(self, hook: str, key: str, check: Callable[[Any], object] | None = None) -> dict[str, Any]:
        """What the plug-ins bring, by the given attribute; a stranger's item that fails ``check`` is set aside.

        The program's own are held to ``check`` by its tests, not at every start.
        """
        found: dict[str, tuple[str, Any]] = {}
        for plugin, item in self._brought(hook):
            try:
                if check is not None and self._points[plugin].distribution != HOST:
                    check(item)
                owner, _ = found.setdefault(getattr(item, key), (plugin, item))
                if owner != plugin:
                    raise PluginError(f"{key} {getattr(item, key)!r} is taken by plug-in {owner!r}")
            except Exception as error:  # a stranger's class may be anything
                self._set_aside(plugin, error)
        return {name: item for name, (_, item) in found.items()}


def _refuse_missing(required: Sequence[str], found: Sequence[EntryPoint]) -> None:
    known = {point.name for point in found} | {point.distribution for point in found}
    for name in required:
        if name not in known:
            near = nearest(name, sorted(known))
            mend = f"did you mean {near!r}?" if near else "install it, or take it out"
            told = f"plug-in {name!r}, required by the profile, is not installed; {mend}"
            raise PluginError(told, "plugins.required")


_RULE_FILES: Final = "plugins.rule_files"


def _rules_of_file(path: Path) -> list[type[Rule]]:
    import importlib.util

    spec = importlib.util.spec_from_file_location(f"preflight_house_{path.stem}", path)
    if spec is None or spec.loader is None or not path.is_file():
        raise PluginError(
            f"{path}: the rule file named in the profile is not a Python file that can be read; name one",
            _RULE_FILES,
        )
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    try:
        spec.loader.exec_module(module)
    except Exception as error:
        raise PluginError(
            f"{path}: the rule file cannot be loaded: {type(error).__name__}: {error}; mend the file",
            _RULE_FILES,
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
        raise PluginError(
            f"{path}: the rule file holds no class derived from preflight.rule.Rule; write one, or take it out",
            _RULE_FILES,
        )
    for rule in rules:
        try:
            page_sections(rule)
        except ValueError as error:
            raise PluginError(f"{path}: {error}", _RULE_FILES) from None
    return rules


def _built_in_first(point: EntryPoint) -> tuple[bool, str]:
    return point.distribution != HOST, point.name


def _host_version(found: Sequence[EntryPoint]) -> str:
    """The program's own version.

    Raises
    ------
    PluginError
        The program runs without being installed: not even its own rules are declared then.
    """
    for point in found:
        if point.distribution == HOST:
            return point.version
    raise PluginError(f"{HOST} is not installed; run 'pip install .' in its folder")


def _loaded(point: EntryPoint) -> Any:
    """The object an entry point stands for: a module, or an attribute of one."""
    module, _, attribute = (part.strip() for part in point.value.partition("[")[0].partition(":"))
    loaded = import_module(module)
    return attrgetter(attribute)(loaded) if attribute else loaded
