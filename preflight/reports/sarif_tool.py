"""The program, its rules and its plug-ins as SARIF describes a tool. Knows no finding."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from preflight.rule import HEADINGS, Rule, page_sections

from .report import PluginUse, Report, RuleUse
from .words import printable

__all__ = ["ToolOf", "message"]

_OWN = frozenset({"preflight_formats", "preflight_rules"})
"""The program's own plug-ins: their rules are the program's, and they are no extensions of it."""

_LONGEST = 1024
"""Characters of a description that GitHub shows (GitHub Docs, "SARIF support for code scanning")."""


class ToolOf:
    """The tool of a report, and where in it each rule stands.

    Parameters
    ----------
    report : names the rules that could judge and the plug-ins that took part.
    rules : the rules in use by id, for their pages; what is known only by its id gets no page.
    found : ids of the rules that something is reported of.
    """

    def __init__(self, report: Report, rules: Mapping[str, type[Rule]], found: Sequence[str]) -> None:
        self._report = report
        self._rules = rules
        self._uses = {use.id: use for use in report.rules}
        self._extensions = [use for use in report.tool.plugins if use.name not in _OWN]
        self._ids: list[list[str]] = [[] for _ in range(1 + len(self._extensions))]
        for id_ in sorted({*rules, *self._uses, *found}):
            self._ids[1 + self._extension_of(id_)].append(id_)

    def described(self) -> dict[str, Any]:
        """The ``tool`` object."""
        tool = self._report.tool
        driver: dict[str, Any] = {"name": tool.name, "version": tool.version, "rules": self._described(0)}
        driver["notifications"] = [self._notification(id_, text) for id_, text in _NOTIFICATIONS.items()]
        if not self._extensions:
            return {"driver": driver}
        extensions = [
            {"name": use.name, "version": use.version, "rules": self._described(number)}
            for number, use in enumerate(self._extensions, start=1)
        ]
        return {"driver": driver, "extensions": extensions}

    def reference(self, id_: str) -> dict[str, Any]:
        """A ``reportingDescriptorReference`` to a rule."""
        component = 1 + self._extension_of(id_)
        told: dict[str, Any] = {"id": id_, "index": self._ids[component].index(id_)}
        if component:
            told["toolComponent"] = {"name": self._extensions[component - 1].name, "index": component - 1}
        return told

    def overrides(self, off: Sequence[str]) -> list[dict[str, Any]]:
        """``ruleConfigurationOverrides``: what the profile and the command line changed of the rules' own configuration.

        Parameters
        ----------
        off : ids of the rules that judged no file.
        """
        told = []
        for use in self._report.rules:
            changed: dict[str, Any] = {}
            if use.id in off or use.level == "off":
                changed["enabled"] = False
            elif use.level != self._level(use.id):
                changed["level"] = use.level
            settings = {one.name: printable(one.value) for one in use.settings if one.value != one.default}
            if settings:
                changed["parameters"] = settings
            if changed:
                told.append({"configuration": changed, "descriptor": self.reference(use.id)})
        return told

    def _described(self, component: int) -> list[dict[str, Any]]:
        return [self._rule(id_) for id_ in self._ids[component]]

    def _rule(self, id_: str) -> dict[str, Any]:
        rule, use = self._rules.get(id_), self._uses.get(id_)
        told: dict[str, Any] = {
            "id": id_,
            **(_no_page(f"The rule {id_}.") if rule is None else _page(rule, use)),
        }
        configuration: dict[str, Any] = {"level": self._level(id_)}
        if use is not None and use.settings:
            configuration["parameters"] = {one.name: one.default for one in use.settings}
        told["defaultConfiguration"] = configuration
        group = str(rule.group) if rule is not None else use.group if use is not None else None
        if group is not None:
            told["properties"] = {"tags": [group]}
        return told

    def _notification(self, id_: str, text: str) -> dict[str, Any]:
        """A kind of notification, with the page of the rule of the same id where there is one."""
        rule = self._rules.get(id_)
        page = _no_page(text) if rule is None else _page(rule, self._uses.get(id_))
        return {"id": id_, **page, "shortDescription": message(text)}

    def _level(self, id_: str) -> str:
        """The rule's level before any profile; SARIF's own default where the rule is not at hand."""
        rule = self._rules.get(id_)
        return str(rule.level) if rule is not None else "warning"

    def _extension_of(self, id_: str) -> int:
        """The number of the extension that brings a rule, told by the package of its class; -1 for the program itself."""
        rule = self._rules.get(id_)
        package = "" if rule is None else rule.__module__.partition(".")[0]
        return next((number for number, use in enumerate(self._extensions) if _package(use) == package), -1)


_NOTIFICATIONS = {
    "unreadable": "A file could not be read, so nothing in it was checked.",
    "rule-failed": "A rule broke down on a file; what it would have found is not known.",
    "not-checked": "Something in a file was met and not judged.",
    "left-out": "A rule did not judge a file, because the command line or the profile says so.",
    "baseline": "Findings were held against a baseline: those it holds do not count.",
}
"""What notifications tell of, by id."""


def message(text: str) -> dict[str, str]:
    """A plain text message (SARIF 2.1.0, 3.11): braces doubled, since single ones hold placeholders; nothing reads like a link."""
    return {"text": text.replace("{", "{{").replace("}", "}}").replace("](", "] (")}


def _package(use: PluginUse) -> str:
    return use.name.replace("-", "_")


def _page(rule: type[Rule], use: RuleUse | None) -> dict[str, Any]:
    """The descriptions and the help of a rule, with the values in force."""
    sections = page_sections(
        rule, {one.name: printable(one.value) for one in use.settings} if use is not None else None
    )
    whole = sections["What it finds"].replace("``", "`")
    plain = [sections["summary"]] + [f"{heading}\n{sections[heading]}" for heading in HEADINGS]
    marked = [sections["summary"]] + [f"## {heading}\n\n{sections[heading]}" for heading in HEADINGS]
    return {
        "shortDescription": message(" ".join(sections["summary"].split())),
        "fullDescription": message(_shortened(" ".join(whole.split()))),
        "help": {
            **message("\n\n".join(plain).replace("``", "`")),
            "markdown": "\n\n".join(marked).replace("{", "{{").replace("}", "}}"),
        },
    }


def _no_page(text: str) -> dict[str, Any]:
    """What stands for the page of a rule that is not at hand: GitHub asks for all three."""
    return {name: message(text) for name in ("shortDescription", "fullDescription", "help")}


def _shortened(text: str) -> str:
    """The whole sentences that fit what is shown; the help holds all."""
    if len(text) <= _LONGEST:
        return text
    return text[: text.rfind(". ", 0, _LONGEST) + 1] or text[: _LONGEST - 1] + "…"
