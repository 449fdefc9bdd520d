"""How places, amounts and steps are put into words, alike in every report people read. Knows no format."""

from __future__ import annotations

import math
import unicodedata
from collections import Counter
from collections.abc import Sequence

from preflight.job.naming.step_words import step_words as trade_words
from preflight.rule import Finding, Measured, ObjectReference

from .report import BaselineUse, Counts, NotChecked, NotCheckedKind, Report, RuleOff

__all__ = [
    "KIND_ADVICE",
    "KIND_WORDS",
    "amount",
    "anchor",
    "baseline_words",
    "cause_of",
    "counted",
    "counts_line",
    "format_number",
    "found_words",
    "judged_at",
    "known_words",
    "left_out",
    "left_out_everywhere",
    "length",
    "limit_words",
    "measure",
    "not_found_words",
    "page_size",
    "place",
    "printable",
    "site",
    "step_words",
    "where",
]

KIND_WORDS: dict[NotCheckedKind, str] = {
    "not-modelled": "not modelled",
    "fault": "fault in the file",
    "assumed": "assumed",
}
"""Kinds of what was not checked in words, the gravest first."""

KIND_ADVICE: dict[NotCheckedKind, str] = {
    "not-modelled": "Look at it yourself: no rule has judged it.",
    "fault": "It was read as its standard says: see that it looks as meant, or mend the file.",
    "assumed": "Confirm that it is so.",
}

_LONG = 10_000.0
"""mm. A length from here up is told in metres."""


def printable(text: str) -> str:
    r"""The text with everything that could steer a terminal or turn the reading direction made visible.

    Control characters, line breaks, bidirectional overrides and lone surrogates become ``\u`` escapes.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_visible(character) for character in text)


def _visible(character: str) -> str:
    if unicodedata.category(character) in {"Cc", "Cf", "Cs", "Zl", "Zp"}:
        return f"\\u{ord(character):04x}"
    return character


def format_number(value: float) -> str:
    """At most three decimals, none that say nothing."""
    return f"{value:.3f}".rstrip("0").rstrip(".") if abs(value) < 1e15 else f"{value:.6g}"


def amount(value: float, unit: str) -> str:
    """A value with its unit: ``0.3 mm``, ``18.5°``, ``12 nodes``, ``1 node``, ``50% opacity``."""
    if unit == "degrees":
        return f"{format_number(value)}°"
    if unit == "opacity":
        return f"{format_number(100 * value)}% opacity"
    # Units that count things are plural words (nodes, places); those that measure do not end in s.
    one = value == 1 and unit.endswith("s")
    return f"{format_number(value)} {unit.removesuffix('s') if one else unit}".rstrip()


def limit_words(measured: Measured) -> tuple[str, str] | None:
    """On which side of its limit a value lies, and the limit: ``("below the limit of", "0.3 mm")``.

    ``("allowed", "none")`` where nothing at all is allowed; None if there is no limit.
    """
    value, limit, unit = measured.value, measured.limit, measured.unit
    if limit is None:
        return None
    if limit == 0:
        return "allowed", "none"
    side = "at" if value == limit else "above" if value > limit else "below"
    return f"{side} the limit of", amount(limit, unit)


def length(millimetres: float) -> str:
    """A length along cuts: ``1,234.5 mm``, from 10 m up ``12.35 m``."""
    if millimetres >= _LONG:
        return f"{millimetres / 1000:,.2f} m"
    return f"{millimetres:,.1f} mm"


def page_size(width: float, height: float) -> str:
    """A page's sides in mm, to six digits: ``210 × 297 mm``, ``60.5833 × 87.0556 mm``, ``50,000 × 50,000 mm``."""
    six_digits = (float(f"{side:.6g}") for side in (width, height))
    return " × ".join(f"{side:,.4f}".rstrip("0").rstrip(".") for side in six_digits) + " mm"


def found_words(measured: Measured) -> str:
    """The value found, with more digits than usual where it would read like the limit that it breaks."""
    value, limit, unit = measured.value, measured.limit, measured.unit
    words = amount(value, unit)
    if limit is None or value == limit or words != amount(limit, unit):
        return words
    return f"{value:.6f}".rstrip("0").rstrip(".") + words.removeprefix(format_number(value))


def judged_at(scale: float) -> str | None:
    """``judged at 10 times the size drawn``; None where it is the size drawn."""
    return None if scale == 1.0 else f"judged at {scale:.6g} times the size drawn"


def measure(measured: Measured) -> str:
    """What was found against what is asked for: ``found 0.3 mm, above the limit of 0.01 mm``, ``found 1 place, none allowed``."""
    found, limit = f"found {found_words(measured)}", limit_words(measured)
    if limit is None:
        return found
    side, words = limit
    return f"{found}, {words} {side}" if side == "allowed" else f"{found}, {side} {words}"


def place(entry: Finding | NotChecked) -> str | None:
    """``x 12.3 mm, y 45.6 mm`` of the worst place, or None for an entry without a place."""
    point = anchor(entry)
    return None if point is None else f"x {point[0]:.1f} mm, y {point[1]:.1f} mm"


def anchor(entry: Finding | NotChecked) -> tuple[float, float] | None:
    """Where on the page, in mm, an entry is pinned: its worst place, else the middle of its bounds.

    None if it has neither, or a rule gave it a place that is not finite.
    """
    if isinstance(entry, Finding) and entry.points_mm:
        point = entry.points_mm[0]
    elif entry.bounds_mm is not None:
        x0, y0, x1, y1 = entry.bounds_mm
        point = (x0 + x1) / 2, (y0 + y1) / 2
    else:
        return None
    return point if all(map(math.isfinite, point)) else None


def where(reference: ObjectReference) -> str:
    """An object as a person finds it in the file: ``path “cut-3”, layer “Kiss cut”, line 12, drawn by line 40``."""
    parts = [f"{reference.kind} “{printable(reference.ref)}”"]
    if reference.layer is not None:
        parts.append(f"layer “{printable(reference.layer)}”")
    if reference.line is not None:
        parts.append(f"line {reference.line}")
    if reference.drawn_at is not None:
        parts.append(f"drawn by line {reference.drawn_at}")
    return ", ".join(parts)


def site(entry: NotChecked) -> str:
    """The object of an entry and the place, as far as they are known; empty where neither is."""
    parts = (None if entry.object is None else where(entry.object), place(entry))
    return ", ".join(part for part in parts if part)


def left_out_everywhere(report: Report) -> list[RuleOff]:
    """The rules that judged no file that could be read, each for the same cause in all of them, by id."""
    checked = [set(file.rules_off) for file in report.files if file.status == "checked"]
    return sorted(set.intersection(*checked), key=lambda one: one.rule) if checked else []


def cause_of(off: RuleOff) -> str:
    """Who left a rule out, and why: ``--ignore``, ``off for this file: cut years ago``."""
    return _CAUSES[off.because] + (f": {printable(off.reason)}" if off.reason else "")


def left_out(off: Sequence[RuleOff], report: Report) -> list[str]:
    """Which rules did not judge and who left them out, a line for each cause; empty where all judged."""
    by_cause: dict[str, list[str]] = {}
    for one in off:
        by_cause.setdefault(cause_of(one), []).append(printable(one.rule))
    lines = []
    for cause, rules in by_cause.items():
        if cause != _CAUSES["not selected"]:
            lines.append(f"{', '.join(rules)} ({cause})")
            continue
        kept = [rule.id for rule in report.rules if rule.id not in set(rules)]
        lines.append(f"all rules but {', '.join(map(printable, kept))} ({cause})")
    return lines


def known_words(findings: Sequence[Finding]) -> list[str]:
    """How many findings of which rule were known from before, and from where; a line for each source."""
    by_source = {
        source: Counter(one.rule for one in findings if one.known == source) for source in _KNOWN_FROM
    }
    return [
        ", ".join(f"{printable(rule)} {number:,}" for rule, number in sorted(counts.items()))
        + f" ({_KNOWN_FROM[source]})"
        for source, counts in by_source.items()
        if counts
    ]


_KNOWN_FROM = {"baseline": "in the baseline", "earlier version": "in the earlier version, too"}


def baseline_words(use: BaselineUse) -> str:
    """What became of the baseline: ``base.json holds 14 findings; 3 are no longer found: take them out with …``."""
    told = f"{printable(use.path)} holds {counted(use.held, 'finding')}"
    gone = len(use.not_found)
    if not gone:
        return f"{told}."
    verb = "is" if gone == 1 else "are"
    which = "it" if gone == 1 else "them"
    return f"{told}; {gone:,} {verb} no longer found: take {which} out with --write-baseline."


def not_found_words(use: BaselineUse, files: int) -> list[str]:
    """What a baseline holds that is no longer found: rules with their number, a line for each of so many files."""
    by_file: dict[str, Counter[str]] = {}
    for one in use.not_found:
        by_file.setdefault(one.path, Counter())[one.rule] += 1
    lines = [
        f"{printable(path)}: {', '.join(f'{printable(rule)} {number:,}' for rule, number in sorted(rules.items()))}"
        for path, rules in sorted(by_file.items())
    ]
    more = [f"… and in {counted(len(lines) - files, 'more file')}"] if len(lines) > files else []
    return lines[:files] + more


_CAUSES = {
    "not selected": "--select",
    "ignored": "--ignore",
    "profile": "off in the profile",
    "override": "off for this file",
}


def step_words(step: str) -> str:
    """The step in plain trade words, safe to print."""
    return printable(trade_words(step))


def counted(number: int, one: str, many: str | None = None) -> str:
    """``1 error``, ``2 errors``, ``2,000 notes``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def counts_line(counts: Counts) -> str:
    """The totals as one sentence without a full stop. Zero of the three levels is said, of the rest left out."""
    parts = [
        counted(counts.error, "error"),
        counted(counts.warning, "warning"),
        counted(counts.note, "note"),
    ]
    rest = (
        (counts.not_checked, "not checked"),
        (counts.known, "known"),
        (counts.waived, "waived"),
        (counts.unreadable, "unreadable"),
    )
    parts += [counted(number, word, word) for number, word in rest if number]
    return f"{counted(counts.files, 'file')}: {', '.join(parts)}"
