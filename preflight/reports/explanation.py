"""Rules explained: a rule's page, or the list of all with levels and limits. Knows no file."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from preflight.rule import HEADINGS, Group, Rule, page_sections

__all__ = ["rendered"]


def rendered(rules: Sequence[type[Rule]], format_: str, whole: bool, width: int = 80) -> str:
    """The rules as ``text``, ``markdown`` or ``json``.

    Parameters
    ----------
    whole : the full page of each rule rather than a line with its limits.
    width : columns that text is wrapped to.
    """
    if format_ == "json":
        return json.dumps([_as_data(rule) for rule in rules], indent=2, ensure_ascii=False) + "\n"
    lines = _markdown(rules) if format_ == "markdown" else _text(rules, whole, width)
    return "\n".join(lines) + "\n"


def _as_data(rule: type[Rule]) -> dict[str, Any]:
    settings = {
        name: {
            "default": setting.shown(setting.default),
            "unit": setting.unit,
            "basis": str(setting.basis),
            "reason": setting.reason,
        }
        for name, setting in rule.Settings.fields().items()
    }
    return {
        "id": rule.id,
        "group": str(rule.group),
        "level": str(rule.level),
        "page": page_sections(rule),
        "settings": settings,
    }


def _markdown(rules: Sequence[type[Rule]]) -> Iterator[str]:
    for rule in rules:
        sections = page_sections(rule)
        yield f"## {rule.id}\n"
        yield f"{sections['summary']}\n"
        yield f"Group *{rule.group}*, level *{rule.level}*.\n"
        for heading in HEADINGS:
            yield f"### {heading}\n\n{sections[heading]}\n"
        fields = rule.Settings.fields()
        if fields:
            yield "| setting | default | basis | reason |\n|---|---|---|---|"
            for name, setting in fields.items():
                yield f"| `{name}` | {setting.shown(setting.default)} | {setting.basis} | {setting.reason} |"
            yield ""


def _text(rules: Sequence[type[Rule]], whole: bool, width: int) -> Iterator[str]:
    if whole:
        for rule in rules:
            yield from _page(rule, width)
        return
    for group in dict.fromkeys(
        rule.group for rule in sorted(rules, key=lambda rule: list(Group).index(rule.group))
    ):
        yield f"{group}"
        for rule in rules:
            if rule.group is group:
                yield f"  {rule.id:<24}{rule.level:<9}{_limits(rule)}".rstrip()
                yield from _wrapped(page_sections(rule)["summary"], width, "    ")
        yield ""
    yield "preflight explain RULE shows a rule's page."


def _limits(rule: type[Rule]) -> str:
    shown = [
        f"{name} {setting.shown(setting.default)}"
        for name, setting in rule.Settings.fields().items()
        if setting.unit in {"mm", "degrees", "count", "ratio"}
    ]
    return ", ".join(shown)


def _page(rule: type[Rule], width: int) -> Iterator[str]:
    sections = page_sections(rule)
    yield f"{rule.id}  ({rule.group}, {rule.level})"
    yield ""
    yield from _wrapped(sections["summary"], width)
    for heading in HEADINGS:
        yield ""
        yield heading
        yield from _wrapped(sections[heading], width, "  ")
    fields = rule.Settings.fields()
    if fields:
        yield ""
        yield f"Settings, in the profile under [rules.{rule.id}]"
        for name, setting in fields.items():
            yield f"  {name} = {setting.shown(setting.default)}"
            yield from _wrapped(f"{setting.reason} ({setting.basis})", width, "    ")


def _wrapped(text: str, width: int, indent: str = "") -> Iterator[str]:
    """Paragraphs and list items, each wrapped; blank lines between paragraphs kept."""
    for number, paragraph in enumerate(text.split("\n\n")):
        if number:
            yield ""
        for item in paragraph.replace("\n* ", "\0* ").replace("\n- ", "\0- ").split("\0"):
            more = indent + "  " if item.startswith(("* ", "- ")) else indent
            yield from textwrap.wrap(
                " ".join(item.split()), width, initial_indent=indent, subsequent_indent=more
            )
