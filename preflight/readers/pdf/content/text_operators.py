"""Operators of text (ISO 32000-1, 9.3 and 9.4): ``BT ET Tc Tw Tz TL Tf Tr Ts Td TD Tm T* Tj TJ ' "``."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from preflight.readers.matrices import multiplied
from preflight.readers.pdf.content.frame import TextPosition
from preflight.readers.pdf.content.operator import Operator
from preflight.readers.pdf.text.showing import end_text, show_text

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["OPERATORS"]


def _begin(run: Interpreter) -> None:
    if run.frame.text is not None:
        run.context.fault("BT", "A text object begins inside another one.", once=True)
    run.frame.text = TextPosition()


def _end(run: Interpreter) -> None:
    end_text(run, run.frame.text)
    run.frame.text = None


def _position(run: Interpreter) -> TextPosition:
    """The position in the text object at work; outside of one viewers start anew, so this does."""
    if run.frame.text is None:
        run.context.fault("text", "Text is placed or shown outside a text object.", once=True)
        run.frame.text = TextPosition()
    return run.frame.text


def _setting(field: str, scale: float = 1.0) -> Operator:
    def act(run: Interpreter, value: float) -> None:
        setattr(run.state.text, field, value * scale)

    return Operator(act, "n")


def _font(run: Interpreter, name: str, size: float) -> None:
    font = run.frame.resources.find("Font", name)
    if font is None:
        run.context.fault("Tf", f"The font “{name[:40]}” is not in the resources.", once=True)
    text = run.state.text
    text.font, text.font_name, text.size = font, name, size


def _render_mode(run: Interpreter, mode: float) -> None:
    if mode not in range(8):
        run.context.fault("Tr", "A way of painting text is set that does not exist.", once=True)
        mode = 0.0
    run.state.text.render_mode = int(mode)


def _move(run: Interpreter, x: float, y: float) -> None:
    position = _position(run)
    position.line = multiplied(position.line, (1.0, 0.0, 0.0, 1.0, x, y))
    position.matrix = position.line


def _move_and_lead(run: Interpreter, x: float, y: float) -> None:
    run.state.text.leading = -y
    _move(run, x, y)


def _set_matrix(run: Interpreter, a: float, b: float, c: float, d: float, e: float, f: float) -> None:
    position = _position(run)
    position.line = position.matrix = (a, b, c, d, e, f)


def _next_line(run: Interpreter) -> None:
    _move(run, 0.0, -run.state.text.leading)


def _show(run: Interpreter, string: bytes) -> None:
    show_text(run, _position(run), [string])


def _show_pieces(run: Interpreter, pieces: list[Any]) -> None:
    kept = [piece for piece in pieces if isinstance(piece, (bytes, float))]
    if len(kept) != len(pieces):
        run.context.fault("TJ", "Text to be shown holds things that are neither text nor numbers.", once=True)
    show_text(run, _position(run), kept)


def _show_next(run: Interpreter, string: bytes) -> None:
    _next_line(run)
    _show(run, string)


def _show_spaced(run: Interpreter, word: float, character: float, string: bytes) -> None:
    run.state.text.word_spacing, run.state.text.character_spacing = word, character
    _show_next(run, string)


_ACTS: dict[str, tuple[Callable[..., None], str]] = {
    "BT": (_begin, ""),
    "ET": (_end, ""),
    "Tf": (_font, "Nn"),
    "Tr": (_render_mode, "n"),
    "Td": (_move, "nn"),
    "TD": (_move_and_lead, "nn"),
    "Tm": (_set_matrix, "nnnnnn"),
    "T*": (_next_line, ""),
    "Tj": (_show, "s"),
    "TJ": (_show_pieces, "a"),
    "'": (_show_next, "s"),
    '"': (_show_spaced, "nns"),
}

OPERATORS: dict[str, Operator] = {
    **{name: Operator(act, takes) for name, (act, takes) in _ACTS.items()},
    "Tc": _setting("character_spacing"),
    "Tw": _setting("word_spacing"),
    "Tz": _setting("horizontal_scale", 0.01),
    "TL": _setting("leading"),
    "Ts": _setting("rise"),
}
