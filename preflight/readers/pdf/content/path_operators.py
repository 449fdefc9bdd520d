"""Painting and clipping of paths (ISO 32000-1, 8.5), and path construction that is not written as it should be."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from preflight.artwork.model import NO_PAINT, Kind, Stroke
from preflight.readers.pdf.content.operator import Operator
from preflight.readers.pdf.content.tokens import PATH_OPERATORS

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["OPERATORS"]

_NO_STROKE = Stroke()


def _construction(code: int) -> Operator:
    """A construction operator with operands to spare: the tokenizer hands on only those that do not fit."""

    def act(run: Interpreter, *numbers: float) -> None:
        row = np.full((1, 6), np.nan)
        row[0, : len(numbers)] = numbers
        paths = run.canvas.paths
        first = paths.keep(np.array([code], np.uint8), row)
        paths.construct(first, first + 1, run.state.matrix)

    return Operator(act, "n" * {"m": 2, "l": 2, "c": 6, "h": 0}.get(PATH_OPERATORS[code], 4))


def _painting(fill: str | None, stroke: bool, close: bool = False) -> Operator:
    """A painting operator.

    Parameters
    ----------
    fill : fill rule, or None where it does not fill.
    """

    def act(run: Interpreter) -> None:
        paths = run.canvas.paths
        if close:
            paths.close()
        clips = _narrowed(run)
        if not paths.pending:
            return
        if len(paths.pending) > 1 and len({matrix for _, _, matrix in paths.pending}) > 1:
            run.context.fault("path", "The matrix changes in the middle of a path.", once=True)
        run.draw(
            Kind.PATH,
            paths.finish(),
            NO_PAINT if fill is None else run.state.fill,
            run.canvas.stroke(run.state) if stroke else _NO_STROKE,
            fill_rule=fill or "nonzero",
        )
        run.state.clips = clips

    return Operator(act)


def _end(run: Interpreter) -> None:
    """``n``: nothing is painted, but a clip takes effect."""
    run.state.clips = _narrowed(run)
    run.canvas.paths.pending = []


def _narrowed(run: Interpreter) -> tuple[int, ...]:
    """The clips to be in force once the path is painted; the path stays pending."""
    rule, run.clip_rule = run.clip_rule, None
    if rule is None:
        return run.state.clips
    if not run.canvas.paths.pending:
        run.context.fault("clip", "A clip without a path is left out.", once=True)
        return run.state.clips
    return run.canvas.clipped(run.state.clips, rule)


def _wait(rule: str) -> Operator:
    """``W``, ``W*``: the clip takes effect after the next painting operator (ISO 32000-1, 8.5.4)."""

    def act(run: Interpreter) -> None:
        run.clip_rule = rule

    return Operator(act)


OPERATORS: dict[str, Operator] = {
    **{name: _construction(code) for code, name in enumerate(PATH_OPERATORS)},
    "f": _painting("nonzero", stroke=False),
    "F": _painting("nonzero", stroke=False),
    "f*": _painting("evenodd", stroke=False),
    "B": _painting("nonzero", stroke=True),
    "B*": _painting("evenodd", stroke=True),
    "b": _painting("nonzero", stroke=True, close=True),
    "b*": _painting("evenodd", stroke=True, close=True),
    "S": _painting(None, stroke=True),
    "s": _painting(None, stroke=True, close=True),
    "n": Operator(_end),
    "W": _wait("nonzero"),
    "W*": _wait("evenodd"),
}
