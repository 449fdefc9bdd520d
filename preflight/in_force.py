"""Which rules judge a file, with which settings, and why the others do not. Knows no rule and no artwork."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal, cast

from preflight.profile import Profile
from preflight.profile.profile import RuleChoice
from preflight.profile.settings import nearest
from preflight.reports.report import RuleOff, RuleUse, SettingUse
from preflight.rule import Level, Rule

__all__ = ["ChoiceError", "InForce", "groups_of", "rules_named", "unknown"]


class ChoiceError(ValueError):
    """A rule was selected or ignored that there is not, or that the engine itself always reports."""


def groups_of(rules: Mapping[str, type[Rule]]) -> dict[str, list[str]]:
    """The groups that can be selected or ignored, each with its rules; those that the engine speaks are left out."""
    groups: dict[str, list[str]] = {}
    for id_, rule in rules.items():
        if not rule.by_engine:
            groups.setdefault(str(rule.group), []).append(id_)
    return dict(sorted(groups.items()))


def rules_named(names: Sequence[str], rules: Mapping[str, type[Rule]]) -> frozenset[str]:
    """The ids that names of rules and groups stand for; a group goes before a rule of the same name.

    Raises
    ------
    ChoiceError
        A name is neither, or stands for nothing but what the engine always reports.
    """
    groups = groups_of(rules)
    ids: set[str] = set()
    for name in names:
        if name in groups:
            ids.update(groups[name])
        elif name in rules and not rules[name].by_engine:
            ids.add(name)
        elif name in rules or any(name == rule.group for rule in rules.values()):
            raise ChoiceError(
                f"{name!r} is always reported: it can be neither selected nor ignored; leave it out"
            )
        else:
            raise ChoiceError(unknown(name, "rule or group", [*rules, *groups]))
    return frozenset(ids)


def unknown(name: str, what: str, known: Sequence[str]) -> str:
    """That there is nothing of that name, with the nearest that there is."""
    near = nearest(name, list(known))
    meant = f"; did you mean {near!r}?" if near else ""
    return f"there is no {what} {name!r}{meant} (preflight explain lists them)"


class InForce:
    """The rules of one run.

    Parameters
    ----------
    profile : levels, settings and overrides.
    rules : every rule at hand by id.
    select, ignore : names of rules and groups; an empty ``select`` means all.

    Raises
    ------
    ChoiceError
    """

    def __init__(
        self, profile: Profile, rules: Mapping[str, type[Rule]], select: Sequence[str], ignore: Sequence[str]
    ) -> None:
        self._profile = profile
        self._rules = rules
        self._select = rules_named(select, rules)
        self._ignore = rules_named(ignore, rules)

    def judging(self, name: str) -> Iterator[Rule]:
        """The rules that judge the file of that name, with their settings and levels."""
        for id_, rule in self._rules.items():
            if rule.by_engine or self._off(id_, name) is not None:
                continue
            chosen = self._profile.rule(id_, name)
            yield rule(
                rule.Settings.parsed(chosen.raw), None if chosen.level is None else Level(chosen.level)
            )

    def off(self, name: str) -> tuple[RuleOff, ...]:
        """The rules that do not judge the file of that name, and why."""
        found = (self._off(id_, name) for id_, rule in self._rules.items() if not rule.by_engine)
        return tuple(one for one in found if one is not None)

    def uses(self) -> tuple[RuleUse, ...]:
        """Every rule that can judge, with its level and settings, overrides for some files aside."""
        return tuple(self._use(id_, rule) for id_, rule in self._rules.items() if not rule.by_engine)

    def _use(self, id_: str, rule: type[Rule]) -> RuleUse:
        chosen = self._profile.rules.get(id_, RuleChoice())
        held = rule.Settings.parsed(chosen.raw)
        return RuleUse(
            id=id_,
            group=str(rule.group),
            level=cast(Literal["error", "warning", "note", "off"], chosen.level or str(rule.level)),
            settings=tuple(
                SettingUse(name, setting.shown(getattr(held, name)), setting.shown(setting.default))
                for name, setting in rule.Settings.fields().items()
            ),
        )

    def _off(self, id_: str, name: str) -> RuleOff | None:
        if self._select and id_ not in self._select:
            return RuleOff(rule=id_, because="not selected")
        if id_ in self._ignore:
            return RuleOff(rule=id_, because="ignored")
        chosen = self._profile.rule(id_, name)
        if chosen.level != "off":
            return None
        override = self._profile.override_of(id_, name)
        if override is None:
            return RuleOff(rule=id_, because="profile")
        return RuleOff(rule=id_, because="override", reason=override.reason)
