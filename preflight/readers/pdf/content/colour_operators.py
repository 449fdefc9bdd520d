"""Operators that set colours (ISO 32000-1, 8.6.8): ``g G rg RG k K cs CS sc SC scn SCN``. Knows no colour space."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from preflight.artwork.model import NoteKind, Paint, PaintKind
from preflight.readers.pdf.colours.colour_space import ColourSpace
from preflight.readers.pdf.colours.shadings import pattern_paint
from preflight.readers.pdf.colours.special_spaces import PatternSpace
from preflight.readers.pdf.content.operands import Name
from preflight.readers.pdf.content.operator import Operator

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["OPERATORS"]

_UNKNOWN = Paint(PaintKind.UNKNOWN)


def _space(run: Interpreter, name: str) -> ColourSpace:
    """The space a name stands for in the stream at work."""
    spaces = run.frame.spaces
    if name not in spaces:
        spaces[name] = run.colours.space_of(name, run.frame.resources)
    return spaces[name]


def _device(name: str, components: int, stroke: bool) -> Operator:
    def act(run: Interpreter, *values: float) -> None:
        space = _space(run, name)
        _set(run, stroke, space, space.paint(values))

    return Operator(act, "n" * components)


def _choose(stroke: bool) -> Operator:
    def act(run: Interpreter, name: str) -> None:
        space = _space(run, name)
        pattern = isinstance(space, PatternSpace)
        _set(run, stroke, space, _UNKNOWN if pattern else space.paint(space.initial))

    return Operator(act, "N")


def _colour(stroke: bool) -> Operator:
    """``sc`` and ``scn`` and those for strokes: all take numbers, and a pattern's name where the space is of patterns."""

    def act(run: Interpreter, *operands: Any) -> None:
        space = (run.state.stroke_space if stroke else run.state.fill_space) or _space(run, "DeviceGray")
        values = tuple(one for one in operands if isinstance(one, float))
        last = operands[-1] if operands else None
        if isinstance(last, Name):
            _set(run, stroke, space, _pattern(run, space, last, values))
        elif len(values) != len(operands):
            run.context.fault(
                "colour", "A colour is set by something that is no number; it is left out.", once=True
            )
        elif isinstance(space, PatternSpace):
            run.context.fault(
                "pattern", "A pattern's name is missing where one is set; the paint is unknown."
            )
            _set(run, stroke, space, _UNKNOWN)
        else:
            _set(run, stroke, space, space.paint(values))

    return Operator(act, "*")


def _pattern(run: Interpreter, space: ColourSpace, name: str, values: tuple[float, ...]) -> Paint:
    frame = run.frame
    value = frame.resources.find("Pattern", name)
    if value is None:
        message = f"The pattern “{name[:40]}” is not in the resources; its paint is unknown."
        run.context.note(NoteKind.FAULT, "pattern", message)
        return _UNKNOWN
    key = ("Pattern", f"{name} {id(space)} {values}")
    known: Paint | None = frame.resources.kept.get(key)
    if known is None:
        base = space.base if isinstance(space, PatternSpace) else None
        known = pattern_paint(value, frame.resources, run.colours, base, values)
        frame.resources.kept[key] = known
    return known


def _set(run: Interpreter, stroke: bool, space: ColourSpace, paint: Paint) -> None:
    state = run.state
    if stroke:
        state.stroke_space, state.stroke = space, paint
    else:
        state.fill_space, state.fill = space, paint


OPERATORS: dict[str, Operator] = {
    "g": _device("DeviceGray", 1, stroke=False),
    "G": _device("DeviceGray", 1, stroke=True),
    "rg": _device("DeviceRGB", 3, stroke=False),
    "RG": _device("DeviceRGB", 3, stroke=True),
    "k": _device("DeviceCMYK", 4, stroke=False),
    "K": _device("DeviceCMYK", 4, stroke=True),
    "cs": _choose(stroke=False),
    "CS": _choose(stroke=True),
    "sc": _colour(stroke=False),
    "SC": _colour(stroke=True),
    "scn": _colour(stroke=False),
    "SCN": _colour(stroke=True),
}
