"""Findings that the artwork itself waives, each with its reason. Knows no rule and no file format."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import msgspec

from preflight.job import Job, JobObject
from preflight.profile.settings import nearest
from preflight.rule import Finding, Level, reference_of, rounded_box

__all__ = ["FAULTY", "UNUSED", "no_such_rule", "waived"]

UNUSED, FAULTY = "waiver-unused", "waiver-faulty"


class _Waiver(msgspec.Struct, frozen=True):
    """One waiver as written, what it says, and the first object it stands on or above."""

    text: str
    rule: str
    reason: str
    item: JobObject


def waived(
    findings: Sequence[Finding], job: Job, judging: Collection[str], known: Collection[str]
) -> Iterator[Finding]:
    """The findings, those that a waiver covers marked with its reason; then what is wrong with the waivers.

    A waiver on an object or an element around it covers every finding of its rule that is about the object.

    Parameters
    ----------
    judging : ids of the rules that judged the page; whether a waiver of another rule is used cannot be told.
    known : ids of all rules.
    """
    carried = [job.items[index] for index in job.notable.waiving]
    if not carried:
        yield from findings
        return
    by_text: dict[str, _Waiver] = {}
    on_object: dict[str, dict[str, _Waiver]] = {}
    for item in carried:
        for text in item.object.waive:
            waiver = by_text.setdefault(text, _read(text, item))
            if waiver.reason:
                on_object.setdefault(item.reference.ref, {}).setdefault(waiver.rule, waiver)
    used: set[str] = set()
    for finding in findings:
        covering = [
            on_object[reference.ref][finding.rule]
            for reference in finding.objects
            if finding.rule in on_object.get(reference.ref, {})
        ]
        used.update(waiver.text for waiver in covering)
        if covering:
            yield msgspec.structs.replace(finding, waived=covering[0].reason, waived_in="artwork")
        else:
            yield finding
    for waiver in by_text.values():
        fault = _fault(waiver, known)
        if fault is not None:
            yield _told(waiver, FAULTY, Level.ERROR, *fault)
        elif waiver.text not in used and waiver.rule in judging:
            yield _told(
                waiver,
                UNUSED,
                Level.NOTE,
                f"The waiver of {waiver.rule} waives nothing: the rule finds nothing there.",
                "Take it out, so that it does not hide a later fault.",
            )


def _read(text: str, item: JobObject) -> _Waiver:
    rule, _, reason = text.partition(":")
    return _Waiver(text, rule.strip(), reason.strip(), item)


def _fault(waiver: _Waiver, known: Collection[str]) -> tuple[str, str] | None:
    if waiver.rule not in known:
        return f"The waiver “{waiver.text}” names no rule.", no_such_rule(
            waiver.rule, known, ", then a colon and the reason"
        )
    if not waiver.reason:
        return (
            f"The waiver of {waiver.rule} gives no reason, so it waives nothing.",
            f'Write the reason behind the rule: "{waiver.rule}: why it is in order".',
        )
    return None


def no_such_rule(rule: str, known: Collection[str], then: str = "") -> str:
    """What to do about a waiver of a rule that does not exist."""
    near = nearest(rule, sorted(known))
    meant = f"Write {near}, or name" if near else "Name"
    return f"{meant} a rule that preflight explain lists{then}."


def _told(waiver: _Waiver, rule: str, level: Level, message: str, hint: str) -> Finding:
    item = waiver.item
    return Finding(
        rule=rule,
        level=level,
        message=message,
        hint=hint,
        bounds_mm=None if item.box is None else rounded_box(item.box),
        objects=(reference_of(item),),
    )
