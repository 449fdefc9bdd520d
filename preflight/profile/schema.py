"""JSON Schema of the profile, made from its tables and the rules' settings. Knows no file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .profile import LEVELS, RuleClass
from .settings import SettingsTable
from .tables import TABLES, Step

__all__ = ["json_schema"]

_TEXTS = {"type": "array", "items": {"type": "string"}}


def json_schema(rules: Mapping[str, RuleClass]) -> dict[str, Any]:
    """JSON Schema (2020-12) of ``preflight.toml``."""
    level = {"enum": list(LEVELS)}
    step = {
        "names": _TEXTS,
        "strokes": Step.fields()["strokes"].schema(),
        "level": {"enum": list(LEVELS[:3])},
    }
    override = {
        "files": _TEXTS,
        "rules": _TEXTS,
        "level": level,
        "reason": {"type": "string", "minLength": 1},
    }
    tables = {name: _table(kind, {}) for name, kind in TABLES.items()}
    properties = {
        "extends": {"type": "string"},
        **tables,
        "steps": {"type": "object", "additionalProperties": _object(step)},
        "rules": _object(
            {
                id_: _table(rule.Settings, {"level": level})
                for id_, rule in rules.items()
                if not getattr(rule, "by_engine", False)
            }
        ),
        "overrides": {
            "type": "array",
            "items": {**_object(override), "required": ["files", "rules", "reason"]},
        },
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "artwork-preflight profile",
        **_object(properties),
    }


def _table(kind: type[SettingsTable], more: dict[str, Any]) -> dict[str, Any]:
    return _object({**more, **{key: setting.schema() for key, setting in kind.fields().items()}})


def _object(properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "additionalProperties": False}
