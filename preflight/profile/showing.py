"""A profile explained: every effective value and where it came from. Knows no command line."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .names import normalised
from .profile import Profile, RuleChoice, RuleClass
from .settings import Setting
from .tables import TABLES, Step, default_steps

__all__ = ["level_of", "settings_of", "show"]


def show(profile: Profile, rules: Mapping[str, RuleClass]) -> list[tuple[str, str, str]]:
    """(key, value, origin) of every setting, the rules' included; defaults say what they rest on."""
    settings: dict[str, Setting] = {
        f"{table}.{key}": setting for table, kind in TABLES.items() for key, setting in kind.fields().items()
    }
    for step in profile.steps:
        settings |= {f"steps.{step}.{key}": setting for key, setting in Step.fields().items()}
    rows = [
        (key, _shown(value), _origin(profile, key, settings.get(key)))
        for key, value in profile.effective()
        if not key.startswith("rules.")
    ]
    for id_, rule in rules.items():
        if profile.rules.get(id_, RuleChoice()).level:
            rows.append((f"rules.{id_}.level", *level_of(profile, id_, rule)))
        rows += [
            (f"rules.{id_}.{key}", value, origin)
            for key, (value, origin) in settings_of(profile, id_, rule).items()
        ]
    return rows


def level_of(profile: Profile, id_: str, rule: RuleClass) -> tuple[str, str]:
    """A rule's level, overrides for some files aside, and where it came from."""
    chosen = profile.rules.get(id_, RuleChoice())
    return chosen.level or str(rule.level), _origin(profile, f"rules.{id_}.level", None)


def settings_of(profile: Profile, id_: str, rule: RuleClass) -> dict[str, tuple[str, str]]:
    """Each setting of a rule by name: the value in force with its unit, and where it came from."""
    held = rule.Settings.parsed(dict(profile.rules.get(id_, RuleChoice()).raw))
    return {
        key: (setting.shown(getattr(held, key)), _origin(profile, f"rules.{id_}.{key}", setting))
        for key, setting in rule.Settings.fields().items()
    }


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        told = f"{value['level']} for {', '.join(value['rules'])} in {', '.join(value['files'])}"
        return f"{told}: {value['reason']}"
    if isinstance(value, list):
        return ", ".join(map(str, value)) or "none"
    return str(value)


def _origin(profile: Profile, key: str, setting: Setting | None) -> str:
    if key in profile.origins:
        replaced = _names_replaced(profile, key, setting)
        return f"from {profile.origins[key]}" + (f", in place of {', '.join(replaced)}" if replaced else "")
    return "default" if setting is None else f"default ({setting.basis}: {setting.reason})"


def _names_replaced(profile: Profile, key: str, setting: Setting | None) -> list[str]:
    """The default names that a list of names leaves out."""
    if setting is None or setting.unit != "names":
        return []
    table, _, name = key.rpartition(".")
    step = table.removeprefix("steps.")
    if step != table:
        default, held = default_steps().get(step, ()), profile.steps[step].names
    else:
        default, held = setting.default, getattr(getattr(profile, table), name)
    kept = {normalised(one) for one in held}
    return [one for one in default if normalised(one) not in kept]
