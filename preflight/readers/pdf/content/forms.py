"""Form XObjects (ISO 32000-1, 8.10 and 11.6.6): matrix, clip, own resources, transparency groups. Knows no operator."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import msgspec
import pikepdf

from preflight.artwork.model import NoteKind
from preflight.readers.matrices import IDENTITY, Matrix, multiplied
from preflight.readers.pdf.content.frame import Frame, Program
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.document.values import entry, identity, name_text, numbers

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["Form", "borrowing", "draw_form", "form_of", "run_form"]

_DEEPEST = 40
"""Forms inside one another; real files stay below ten, and each takes a few frames of Python's stack."""

_STEPS = 16
"""What drawing a form takes beside its content."""


class Form(msgspec.Struct, eq=False):
    """A form read once.

    Attributes
    ----------
    program : its content.
    resources : its own, the page's or parent's behind them.
    matrix : from form space to user space.
    box : x0, y0, x1, y1 in form space, or None where it has no usable one.
    group : its transparency group dictionary, or None.
    number : object number, or None for a stream that is no indirect object.
    """

    program: Program
    resources: Resources
    matrix: Matrix
    box: tuple[float, float, float, float] | None
    group: Any
    number: int | None


def draw_form(run: Interpreter, stream: pikepdf.Object, name: str, trail: str | None = None) -> None:
    """Draw a form under the matrix in force; one that is being drawn already is refused.

    Parameters
    ----------
    trail : what references of its operators begin with, where no operator draws it.
    """
    key = identity(stream)
    if key is not None and key in run.active:
        run.context.fault("form", f"The form “{name[:40]}” draws itself; it is not drawn again.", once=True)
        return
    if len(run.active) >= _DEEPEST:
        message = f"Forms lie more than {_DEEPEST} deep inside one another; the innermost are not read."
        run.context.not_modelled("form", message, once=True)
        return
    run.expansion.enter(run.frame.draws, name)
    run.context.workload.take(_STEPS)
    form = form_of(run, stream, name)
    # A stream without a number is the only one of its kind: it cannot lead back to itself by name.
    held = key or (-len(run.active) - 1, 0)
    run.active.add(held)
    run_form(run, form, name, trail)
    run.active.discard(held)
    run.expansion.leave(key)


def form_of(run: Interpreter, stream: pikepdf.Object, name: str) -> Form:
    """A form stream, read once for each dictionary behind its own resources."""
    own = entry(stream, "/Resources")
    has_own = isinstance(own, pikepdf.Dictionary)
    key = identity(stream)
    kept = run.forms.get((key, id(run.frame.resources)))
    if key is not None and kept is not None:
        return kept
    unpacked = run.context.streams.unpacked(stream)
    if unpacked.fault:
        run.context.fault("form", f"{unpacked.fault}, of the form “{name[:40]}”.")
    given = numbers(entry(stream, "/Matrix"))
    matrix = IDENTITY
    if given is not None and len(given) == 6:
        matrix = (given[0], given[1], given[2], given[3], given[4], given[5])
    elif entry(stream, "/Matrix") is not None:
        run.context.fault("form", f"The matrix of the form “{name[:40]}” is damaged and left out.")
    behind = run.frame.resources
    group = entry(stream, "/Group")
    form = Form(
        run.program(unpacked.data),
        Resources(own, behind, borrowing(run, f"form “{name[:40]}”")) if has_own else behind,
        matrix,
        _box(run, stream, name),
        group if name_text(entry(group, "/S")) == "Transparency" else None,
        key[0] if key else None,
    )
    if key is not None:
        run.forms[key, id(behind)] = form
    return form


def borrowing(run: Interpreter, borrower: str) -> Callable[[str, str], None]:
    """What notes that a stream of content takes a resource from the one it is drawn in."""

    def say(category: str, name: str) -> None:
        message = (
            f"The {borrower} lacks “{name[:40]}” ({category}) among its own resources; "
            "that of the content it is drawn in is taken, as viewers do."
        )
        run.context.note(NoteKind.ASSUMED, "resources", message, once=True)

    return say


def _box(run: Interpreter, stream: pikepdf.Object, name: str) -> tuple[float, float, float, float] | None:
    sides = numbers(entry(stream, "/BBox"))
    if sides is None or len(sides) != 4:
        run.context.fault(
            "form", f"The box of the form “{name[:40]}” is missing or damaged; it clips nothing."
        )
        return None
    x0, y0, x1, y1 = sides
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def run_form(run: Interpreter, form: Form, name: str, trail: str | None = None) -> None:
    """Run a form's content in a frame and a state of its own; both are put back."""
    outer, state, canvas = run.frame, run.state, run.canvas
    pending, canvas.paths.pending = canvas.paths.pending, []
    rule, run.clip_rule = run.clip_rule, None
    if pending:
        run.context.fault("Do", "An object is drawn in the middle of a path.", once=True)
    inner = state.copied()
    inner.matrix = multiplied(state.matrix, form.matrix)
    if form.box is not None:
        inner.clips = canvas.clipped_to_box(inner.clips, form.box, inner.matrix)
    if form.group is not None:
        _enter_group(run, form, name)
        inner.group_alpha *= inner.fill_alpha
        if inner.fill_alpha < 1.0:
            inner.groups = (*inner.groups, canvas.new_group())
        inner.group_blend = inner.blend if inner.blend != "normal" else inner.group_blend
        if inner.soft_mask or entry(form.group, "/K") is True:
            inner.group_effect = "soft mask" if inner.soft_mask else "knock-out group"
        inner.fill_alpha = inner.stroke_alpha = 1.0
        inner.blend, inner.soft_mask = "normal", False
    forms = outer.forms
    if trail is None:
        trail = f"{outer.trail} op {outer.number} {_plain(name)}"
        forms = _plain(name) if outer.forms is None else f"{outer.forms}/{_plain(name)}"
    run.state = inner
    run.frame = Frame(form.resources, trail, forms, form.number, inner.matrix, draws=form.program.draws)
    run.run_program(form.program)
    run.frame, run.state = outer, state
    canvas.paths.pending, run.clip_rule = pending, rule


def _enter_group(run: Interpreter, form: Form, name: str) -> None:
    """Note where a group is put on the page as a whole in a way that judging its objects one by one misses.

    Its opacity alone is none: each of its objects has it, as those of an SVG group do.
    """
    state = run.state
    ways = [f"the blend mode “{state.blend}”"] if state.blend != "normal" else []
    if state.soft_mask:
        ways.append("a soft mask")
    if ways:
        message = f"The group “{name[:40]}” is put on the page as a whole with {' and '.join(ways)}; its objects are judged one by one."
        run.context.not_modelled("group", message, once=True)
    if entry(form.group, "/K") is True:
        message = f"The objects of the group “{name[:40]}” knock each other out, which is not modelled."
        run.context.not_modelled("group", message, once=True)


def _plain(name: str) -> str:
    """A resource name as part of a reference: no blanks, nothing that does not print."""
    return "".join(letter if letter.isprintable() and letter not in " /" else "_" for letter in name[:40])
