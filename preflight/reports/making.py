"""Production figures in words, alike in every report people read. Knows no artwork and no format."""

from __future__ import annotations

from preflight.job.making.production import Production, RollUse

from .words import counted, format_number, step_words

__all__ = ["duration", "knife_words", "roll_words"]


def duration(seconds: float) -> str:
    """``8 s``, ``12 min 30 s``, ``2 h 31 min``: never finer than a person would plan by."""
    whole = max(round(seconds), 1) if seconds > 0 else 0
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        minutes, rest = divmod(whole, 60)
        return f"{minutes} min {rest} s" if rest else f"{minutes} min"
    hours, minutes = divmod(round(whole / 60), 60)
    return f"{hours:,} h {minutes} min" if minutes else f"{hours:,} h"


def knife_words(production: Production) -> str | None:
    """How often the knife is lifted and how long it cuts, for the copies asked; None where nobody asked for either."""
    steps = production.steps
    timed = [step for step in steps if step.time_s is not None]
    if not steps or (production.copies == 1 and not timed):
        return None
    lifts = counted(sum(step.lifts for step in steps), "lift") + " of the knife"
    told = f"For {counted(production.copies, 'copy', 'copies')}: {lifts}"
    if production.time_s is not None:
        return f"{told}, {duration(production.time_s)} of cutting."
    missing = " and ".join(step_words(step.step).lower() for step in steps if step.time_s is None)
    known = "".join(
        f", {duration(step.time_s)} for the {step_words(step.step).lower()}"
        for step in timed
        if step.time_s is not None
    )
    return f"{told}{known}; no time is estimated for {missing}: the profile states no speed ([cutter] speed)."


def roll_words(production: Production) -> str | None:
    """How much of the roll the copies take; why it is not known where many are asked for; None where nobody asked."""
    if production.roll is not None:
        return _used(production.copies, production.roll)
    if not production.fits:
        return "Not one copy fits the width there is on the roll."
    if production.copies > 1:
        return "How much is not known: the profile states no width of the media ([media] width)."
    return None


def _used(copies: int, roll: RollUse) -> str:
    placed = ""
    if copies > 1:
        rows = counted(roll.rows, "row")
        placed = f", {roll.columns:,} side by side in {rows}," if roll.columns > 1 else f" in {rows}"
    verb = "takes" if copies == 1 else "take"
    area = f"{roll.area_m2:,.2f}" if roll.area_m2 >= 0.1 else f"{roll.area_m2:.2g}"
    told = (
        f"{counted(copies, 'copy', 'copies')}{placed} {verb} {roll.length_mm / 1000:,.2f} m of a roll "
        f"{format_number(roll.width_mm)} mm wide: {area} m²"
    )
    if roll.waste is None:
        return f"{told}."
    return f"{told}, {100 * roll.waste:.0f} % of which ends in no piece."
