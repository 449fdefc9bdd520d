"""Every effective value of a profile with its origin, for people. Knows no rule but by its settings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .profile import Profile
from .settings import SettingsTable

__all__ = ["show"]


def show(profile: Profile, rules: Mapping[str, Any] | None = None) -> list[tuple[str, str, str]]:
    """Key, value as text and origin of every setting in force, rules' settings included where rules are given."""
    rows = []
    tables: dict[str, SettingsTable] = dict(profile.tables)
    tables.update({f"steps.{step}": table for step, table in profile.steps.items()})
    for name, table in tables.items():
        for key, setting in table.fields().items():
            dotted = f"{name}.{key}"
            rows.append((dotted, setting.shown(getattr(table, key)), profile.origin_of(dotted)))
    for id_, rule in (rules or {}).items():
        rows += _rule_rows(profile, id_, rule)
    for override in profile.overrides:
        table = override.table
        told = f"{table.level} for {', '.join(table.rules)} in {', '.join(table.files)}: {table.reason}"
        rows.append((override.key, told, str(override.file)))
    return rows


def _rule_rows(profile: Profile, id_: str, rule: Any) -> list[tuple[str, str, str]]:
    chosen = profile.rule(id_)
    rows = [(f"rules.{id_}.level", chosen.level or str(rule.level), profile.origin_of(f"rules.{id_}.level"))]
    raw = chosen.raw or {}
    for name, setting in rule.Settings.fields().items():
        dotted = f"rules.{id_}.{name}"
        value = setting.parsed(raw[name]) if name in raw else setting.default
        origin = profile.origin_of(dotted) if name in raw else f"default ({setting.basis}: {setting.reason})"
        rows.append((dotted, setting.shown(value), origin))
    return rows
