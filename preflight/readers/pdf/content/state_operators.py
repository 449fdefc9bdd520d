"""Operators of the graphics state (ISO 32000-1, 8.4.4): ``q Q cm w J j M d ri i gs``."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from preflight.readers.matrices import multiplied
from preflight.readers.pdf.content.extended_state import ExtendedState, extended_state
from preflight.readers.pdf.content.operator import Operator

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["OPERATORS", "set_cap", "set_dash", "set_join", "set_miter_limit", "set_width"]

_LARGEST = 1e15
"""What a matrix may hold; beyond, products lose all meaning."""


def _save(run: Interpreter) -> None:
    run.save()


def _restore(run: Interpreter) -> None:
    run.restore()


def _concatenate(run: Interpreter, *numbers: float) -> None:
    a, b, c, d, e, f = numbers
    matrix = multiplied(run.state.matrix, (a, b, c, d, e, f))
    if not all(abs(value) < _LARGEST for value in matrix):
        run.context.fault("cm", "A matrix holds numbers beyond all reason and is left out.", once=True)
        return
    run.state.matrix = matrix


def set_width(run: Interpreter, width: float) -> None:
    """Set the line width; negative ones count as positive, as viewers take them."""
    if width < 0 or not math.isfinite(width):
        run.context.fault("w", "A line width below zero or beyond all reason is set.", once=True)
        width = abs(width) if math.isfinite(width) else 1.0
    run.state.line_width = width


def set_cap(run: Interpreter, style: float) -> None:
    """Set the line cap."""
    run.state.line_cap = _style(run, "J", style)


def set_join(run: Interpreter, style: float) -> None:
    """Set the line join."""
    run.state.line_join = _style(run, "j", style)


def _style(run: Interpreter, name: str, style: float) -> int:
    if style in (0, 1, 2):
        return int(style)
    run.context.fault(
        name, f"The operator “{name}” is given a style that does not exist; the first is used.", once=True
    )
    return 0


def set_miter_limit(run: Interpreter, limit: float) -> None:
    """Set the miter limit."""
    run.state.miter_limit = limit if math.isfinite(limit) else 10.0


def set_dash(run: Interpreter, lengths: list[Any], phase: float) -> None:
    """Set the dash pattern; one that makes no dashes is a solid line."""
    run.context.workload.take(len(lengths) // 8)
    dash = [length for length in lengths if isinstance(length, float) and math.isfinite(length)]
    if len(dash) != len(lengths) or any(length < 0 for length in dash) or not math.isfinite(phase):
        run.context.fault("d", "A dash pattern is damaged; the line is taken for a solid one.", once=True)
        dash, phase = [], 0.0
    run.state.dash = tuple(dash) if any(dash) else ()
    run.state.dash_phase = phase


def _nothing(run: Interpreter, *_: Any) -> None:
    """Rendering intent and flatness tolerance: they change no geometry and no colour that is judged."""


def _extend(run: Interpreter, name: str) -> None:
    """``gs``: set what an ExtGState dictionary holds."""
    resources, key = run.frame.resources, ("ExtGState", name)
    found: ExtendedState | None = resources.kept.get(key)
    if found is None:
        value = resources.find(*key)
        if value is None:
            run.context.fault("gs", f"The graphics state “{name[:40]}” is not in the resources.", once=True)
            return
        found = resources.kept[key] = extended_state(value)
    _apply(run, found, name)


def _apply(run: Interpreter, given: ExtendedState, name: str) -> None:
    state, context = run.state, run.context
    if given.line_width is not None:
        set_width(run, given.line_width)
    if given.line_cap is not None:
        set_cap(run, given.line_cap)
    if given.line_join is not None:
        set_join(run, given.line_join)
    if given.miter_limit is not None:
        set_miter_limit(run, given.miter_limit)
    if given.dash is not None:
        set_dash(run, list(given.dash), given.dash_phase)
    for field in (
        "stroke_overprint",
        "overprint",
        "overprint_mode",
        "fill_alpha",
        "stroke_alpha",
        "blend",
        "soft_mask",
    ):
        value = getattr(given, field)
        if value is not None:
            setattr(state, field, value)
    if given.font is not None:
        state.text.font, state.text.size = given.font
        state.text.font_name = ""
    for what, message in given.not_modelled:
        context.not_modelled(what, f"{message}.", once=True)
    for what, message in given.faults:
        context.fault(what, f"{message} (graphics state “{name[:40]}”).", once=True)


OPERATORS: dict[str, Operator] = {
    "q": Operator(_save),
    "Q": Operator(_restore),
    "cm": Operator(_concatenate, "nnnnnn"),
    "w": Operator(set_width, "n"),
    "J": Operator(set_cap, "n"),
    "j": Operator(set_join, "n"),
    "M": Operator(set_miter_limit, "n"),
    "d": Operator(set_dash, "an"),
    "ri": Operator(_nothing, "N"),
    "i": Operator(_nothing, "n"),
    "gs": Operator(_extend, "N"),
}
