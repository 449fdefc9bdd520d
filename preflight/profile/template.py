"""The commented profile that ``preflight init`` writes. Knows no artwork."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from .profile import RuleClass
from .proposals import Proposal
from .settings import Setting
from .tables import TABLES, default_steps

__all__ = ["init_text"]

_HEAD = """\
# Shop profile of artwork-preflight. Every line that is commented out shows the default; take the # away to
# change it. Lengths are texts with a unit: "3 mm", "1/8 in". `preflight profile show` tells what is in force.
"""


def init_text(rules: Mapping[str, RuleClass], proposals: Sequence[Proposal] | None = None) -> str:
    """A profile with every default shown, and the proposals, if any, in force for a person to confirm."""
    lines = [_HEAD]
    lines += _proposed(proposals or ())
    if proposals is not None and not proposals:
        lines.append("# The jobs named hold no cut line or mark that the defaults do not know already.\n")
    proposed = {proposal.table for proposal in proposals or ()}
    for table, kind in TABLES.items():
        if table not in proposed:
            lines.append(f"[{table}]")
            lines += _settings(kind.fields())
    lines += _steps(proposed)
    for id_, rule in rules.items():
        fields = rule.Settings.fields()
        if fields:
            lines.append(f"[rules.{id_}]")
            lines += _settings(fields)
    return "\n".join(lines).rstrip() + "\n"


def _proposed(proposals: Sequence[Proposal]) -> Iterator[str]:
    tables = dict.fromkeys(proposal.table for proposal in proposals)
    for table in tables:
        yield "# Proposed from the jobs named. Confirm each line, or take it out."
        if table == "steps.PartialCutting":
            yield "# A kiss cut is assumed unless the line says otherwise; names of through cuts belong under [steps.Cutting]."
        yield f"[{table}]"
        for proposal in (one for one in proposals if one.table == table):
            known = default_steps().get(table.removeprefix("steps."), ()) if proposal.key == "names" else ()
            if table in TABLES:
                known = tuple(TABLES[table].fields()[proposal.key].default)
            yield f"{proposal.key} = ["
            yield from (f"    {_toml(name)}," for name in known)
            yield from (f"    {_toml(name)},  # {why}" for name, why in proposal.values)
            yield "]"
        # TOML takes each table once, so the rest of it stands here.
        own = {proposal.key for proposal in proposals if proposal.table == table}
        fields = TABLES[table].fields() if table in TABLES else {}
        yield from _settings({key: setting for key, setting in fields.items() if key not in own})


def _settings(fields: Mapping[str, Setting]) -> Iterator[str]:
    for key, setting in fields.items():
        yield f"# {setting.reason} ({setting.basis})"
        if setting.default is None:
            yield f"# {key} = {_toml(setting.written(setting.example))}  (an example; not set by default)"
        else:
            yield f"# {key} = {_toml(setting.written(setting.default))}"
    yield ""


def _steps(proposed: set[str]) -> Iterator[str]:
    yield "# Processing steps of ISO 19593-1 and the names that mark them; `strokes` lists exact stroke colours."
    for step, words in default_steps().items():
        if words and f"steps.{step}" not in proposed:
            yield f"[steps.{step}]"
            yield f"# names = {_toml(list(words))}"
            yield ""


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(one)}" for key, one in value.items()) + " }"
    # A JSON text, number, list or boolean is a TOML one too.
    return json.dumps(value, ensure_ascii=False)
