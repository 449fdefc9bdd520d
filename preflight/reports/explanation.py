"""Rules explained: a rule's page, or the list of all, with the values a profile gives them. Knows no artwork."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from preflight.profile import Profile
from preflight.profile.showing import level_of, settings_of
from preflight.rule import HEADINGS, Group, Rule, page_sections

__all__ = ["rendered"]


class Explained:
    """A rule with the level and settings that a profile gives it; each value is a text and where it came from."""

    def __init__(self, rule: type[Rule], profile: Profile) -> None:
        self.rule = rule
        self.level, self.level_origin = level_of(profile, rule.id, rule)
        self.settings = settings_of(profile, rule.id, rule)
        self.sections = page_sections(rule, {name: value for name, (value, _) in self.settings.items()})


def rendered(
    rules: Sequence[type[Rule]], format_: str, whole: bool, width: int = 80, profile: Profile | None = None
) -> str:
    """The rules as ``text``, ``markdown`` or ``json``.

    Parameters
    ----------
    whole : the full page of each rule rather than a line with its limits.
    width : columns that text is wrapped to.
    profile : whose values are shown, each with its origin; the defaults unless given.
    """
    explained = [Explained(rule, profile or Profile.default()) for rule in rules]
    if format_ == "json":
        return json.dumps([_as_data(one) for one in explained], indent=2, ensure_ascii=False) + "\n"
    lines = _markdown(explained) if format_ == "markdown" else _text(explained, whole, width)
    return "\n".join(lines) + "\n"


def _as_data(one: Explained) -> dict[str, Any]:
    settings = {
        name: {
            "value": one.settings[name][0],
            "origin": one.settings[name][1],
            "default": setting.shown(setting.default),
            "unit": setting.unit,
            "basis": str(setting.basis),
            "reason": setting.reason,
        }
        for name, setting in one.rule.Settings.fields().items()
    }
    return {
        "id": one.rule.id,
        "group": str(one.rule.group),
        "level": one.level,
        "level_origin": one.level_origin,
        "page": one.sections,
        "settings": settings,
    }


def _markdown(rules: Sequence[Explained]) -> Iterator[str]:
    for one in rules:
        yield f"## {one.rule.id}\n"
        yield f"{one.sections['summary']}\n"
        yield f"Group *{one.rule.group}*, level *{one.level}* ({one.level_origin}).\n"
        for heading in HEADINGS:
            yield f"### {heading}\n\n{one.sections[heading]}\n"
        fields = one.rule.Settings.fields()
        if fields:
            yield "| setting | value | default | basis | reason |\n|---|---|---|---|---|"
            for name, setting in fields.items():
                default = setting.shown(setting.default)
                cells = (f"`{name}`", one.settings[name][0], default, str(setting.basis), setting.reason)
                yield "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"
            yield ""


def _text(rules: Sequence[Explained], whole: bool, width: int) -> Iterator[str]:
    if whole:
        for one in rules:
            yield from _page(one, width)
        return
    order = list(Group)
    for group in sorted({one.rule.group for one in rules}, key=order.index):
        yield f"{group}"
        for one in rules:
            if one.rule.group is group:
                yield f"  {one.rule.id:<24}{one.level}"
                yield from _wrapped(one.sections["summary"], width, "    ")
                limits = _limits(one)
                if limits:
                    yield from _wrapped(limits, width, "    ")
        yield ""
    yield "preflight explain RULE shows a rule's page."


def _limits(one: Explained) -> str:
    shown = [
        f"{name} {one.settings[name][0]}"
        for name, setting in one.rule.Settings.fields().items()
        if setting.unit in {"mm", "pt", "ppi", "degrees", "count", "ratio"}
    ]
    return ", ".join(shown)


def _page(one: Explained, width: int) -> Iterator[str]:
    yield f"{one.rule.id}  ({one.rule.group}, {one.level})"
    if one.level != str(one.rule.level):
        yield from _wrapped(f"level {one.level_origin}; by default {one.rule.level}", width, "  ")
    yield ""
    yield from _wrapped(one.sections["summary"], width)
    for heading in HEADINGS:
        yield ""
        yield heading
        yield from _wrapped(one.sections[heading], width, "  ")
    fields = one.rule.Settings.fields()
    if fields:
        yield ""
        yield f"Settings, in the profile under [rules.{one.rule.id}]"
        for name, setting in fields.items():
            value, origin = one.settings[name]
            yield from _wrapped(f"{name} = {value}", width, "  ")
            if not origin.startswith("default"):
                yield from _wrapped(f"{origin}; by default {setting.shown(setting.default)}", width, "    ")
            yield from _wrapped(f"{setting.reason} ({setting.basis})", width, "    ")


def _wrapped(text: str, width: int, indent: str = "") -> Iterator[str]:
    """Paragraphs and list items, each wrapped; blank lines between paragraphs kept; code in plain backticks."""
    for number, paragraph in enumerate(text.replace("``", "`").split("\n\n")):
        if number:
            yield ""
        for item in paragraph.replace("\n* ", "\0* ").replace("\n- ", "\0- ").split("\0"):
            more = indent + "  " if item.startswith(("* ", "- ")) else indent
            yield from textwrap.wrap(
                " ".join(item.split()),
                width,
                initial_indent=indent,
                subsequent_indent=more,
                break_on_hyphens=False,
                break_long_words=False,  # a path is copied whole or not at all
            )
