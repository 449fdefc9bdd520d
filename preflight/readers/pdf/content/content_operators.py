"""Marked content and compatibility sections (ISO 32000-1, 14.6 and 7.8.2): ``BMC BDC EMC MP DP BX EX``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from preflight.readers.pdf.content.operator import Operator
from preflight.readers.pdf.layers.content_layers import Content

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["OPERATORS"]


def _begin(run: Interpreter, tag: str) -> None:
    run.enter(None)


def _begin_with_properties(run: Interpreter, tag: str, properties: Any) -> None:
    run.enter(_optional(run, properties) if tag == "OC" else None)


def _optional(run: Interpreter, properties: Any) -> Content:
    """The layer that ``/OC`` content belongs to. Its properties must be a name (ISO 32000-1, 8.11.3.2)."""
    if isinstance(properties, str):
        properties = run.frame.resources.find("Properties", properties)
    return run.layers.entered(properties, run.canvas.layer)


def _end(run: Interpreter) -> None:
    run.leave()


def _point(run: Interpreter, *_: Any) -> None:
    """Marked points say nothing about what is drawn."""


def _tolerate(run: Interpreter) -> None:
    run.frame.tolerant += 1


def _intolerant(run: Interpreter) -> None:
    if run.frame.tolerant:
        run.frame.tolerant -= 1
    else:
        run.context.fault("EX", "A compatibility section ends that never began.", once=True)


OPERATORS: dict[str, Operator] = {
    "BMC": Operator(_begin, "N"),
    "BDC": Operator(_begin_with_properties, "Np"),
    "EMC": Operator(_end),
    "MP": Operator(_point, "N"),
    "DP": Operator(_point, "Np"),
    "BX": Operator(_tolerate),
    "EX": Operator(_intolerant),
}
