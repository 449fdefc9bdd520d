"""Runs content streams: one instruction after the other, each handed to its operator. Knows no operator's meaning.

References (``Origin.ref``) of what a page draws read ``p1 op 34``: page 1, the 34th operator of its content, counted
from 1 over all of ``/Contents``. Inside forms each form adds its name and the operator: ``p1 op 34 Fm0 op 2`` is the
second operator of the form that operator 34 draws under the name Fm0. They stay the same as long as the content does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from preflight.artwork.model import Kind, NoteKind, Origin, Paint, Stroke
from preflight.readers.limits import Limits
from preflight.readers.matrices import Matrix
from preflight.readers.pdf.colours.colour_spaces import Colours
from preflight.readers.pdf.content.canvas import Canvas
from preflight.readers.pdf.content.expansion import Expansion
from preflight.readers.pdf.content.forms import Form
from preflight.readers.pdf.content.frame import Frame, Program
from preflight.readers.pdf.content.operator import Operator, fitting
from preflight.readers.pdf.content.operators import OPERATORS
from preflight.readers.pdf.content.state import GraphicsState
from preflight.readers.pdf.content.tokens import PATH, Batch, Instruction, batches
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.layers.content_layers import Content, Layers
from preflight.readers.pdf.text.fonts import Fonts
from preflight.readers.pdf.text.lettering import Lettering

__all__ = ["Interpreter"]

_MOST_SAVED = 4096
"""States that ``q`` may save inside one another; ISO 32000-1, Annex C.2, names 28, and writers go beyond that."""
_MOST_KEPT = 4 << 20
"""Bytes of content that are kept as instructions, which take up to a hundred times as much."""
_BETWEEN_CHECKS = 512
"""Instructions between two looks at the clock; a single one may copy a hundred thousand numbers."""
_MOST_UNKNOWN = 20
"""Unknown operators noted by name; a stream that holds more of them is no content."""


class Interpreter:
    """Runs the content of one page and puts what it draws on a canvas.

    Attributes
    ----------
    canvas, context, layers, colours, lettering : of the page.
    state : graphics state in force.
    frame : of the stream at work.
    clip_rule : fill rule of a ``W`` or ``W*`` that waits for its painting operator, or None.
    active : object numbers of the streams at work, to refuse loops.
    expansion : counts the forms drawn.
    forms : those read, by object number and the resources behind their own.
    """

    def __init__(
        self,
        canvas: Canvas,
        layers: Layers,
        colours: Colours,
        fonts: Fonts,
        resources: Resources,
        matrix: Matrix,
    ) -> None:
        self.canvas = canvas
        self.context = canvas.context
        self.layers = layers
        self.colours = colours
        self.lettering = Lettering(fonts)
        self.state = GraphicsState(matrix=matrix)
        self.frame = Frame(resources, f"p{self.context.page}", matrix=matrix)
        self.clip_rule: str | None = None
        self.active: set[tuple[int, int]] = set()
        self.forms: dict[tuple[tuple[int, int] | None, int], Form] = {}
        self.context.here = self.origin
        self.expansion = Expansion(self.context.limits, self.context.deadline, self.context.page)
        self._unknown: set[str] = set()
        self._kept = 0

    @property
    def limits(self) -> Limits:
        """What the file may cost."""
        return self.context.limits

    def origin(self) -> Origin:
        """Where the operator at work stands."""
        frame = self.frame
        return Origin(
            ref=f"{frame.trail} op {frame.number}" if frame.number else frame.trail,
            path=frame.forms,
            object_number=frame.object_number,
            operator=frame.number,
        )

    def run(self, data: bytes) -> None:
        """Run a content stream in the frame and state in force.

        What it leaves open (saved states, marked content, a path, a text object) is noted and put back.

        Raises
        ------
        preflight.readers.errors.Unreadable
            A limit is reached.
        """
        for batch in self._read(data):
            self._run_batch(batch, self.canvas.paths.keep(batch.codes, batch.numbers))
        self._finish()

    def run_program(self, program: Program) -> None:
        """Run a stream that was read before; as `run`."""
        if program.data is not None:
            self.run(program.data)
            return
        for batch, first in program.batches:
            self._run_batch(batch, first)
        self._finish()

    def program(self, data: bytes) -> Program:
        """Read a content stream without running it; once much is kept, the rest is read anew each time it is drawn."""
        self._kept += len(data)
        if self._kept > _MOST_KEPT:
            return Program([], {}, data)
        read = [(batch, self.canvas.paths.keep(batch.codes, batch.numbers)) for batch in self._read(data)]
        names = [
            operands[-1]
            for batch, _ in read
            for operator, operands, _ in batch.instructions
            if operator == "Do" and operands and isinstance(operands[-1], str)
        ]
        return Program(read, Counter(names))

    def _read(self, data: bytes) -> Iterator[Batch]:
        for batch in batches(data, self._damage):
            self.context.workload.take(batch.steps)
            yield batch

    def _run_batch(self, batch: Batch, first: int) -> None:
        self.context.workload.take(len(batch.instructions))
        for start in range(0, len(batch.instructions), _BETWEEN_CHECKS):
            self.context.deadline.check()
            self._run_some(batch.instructions[start : start + _BETWEEN_CHECKS], first)

    def _run_some(self, instructions: list[Instruction], first: int) -> None:
        frame, paths = self.frame, self.canvas.paths
        for instruction in instructions:
            name, operands, frame.number = instruction
            if name is PATH:
                paths.construct(first + operands[0], first + operands[1], self.state.matrix)
                continue
            operator = OPERATORS.get(name)
            if operator is None:
                self._refuse(instruction)
                continue
            fitted = operands if not operands and not operator.takes else fitting(operator, operands)
            if fitted is None:
                self._misfit(name, operator, operands)
            else:
                operator.act(self, *fitted)

    def _refuse(self, instruction: Instruction) -> None:
        name = instruction[0]
        if self.frame.tolerant or name in self._unknown:
            return
        self._unknown.add(name)
        if len(self._unknown) > _MOST_UNKNOWN:
            self.context.fault("operator", "There are further operators that no standard knows.", once=True)
            return
        shown = "".join(letter if letter.isprintable() else "?" for letter in name[:20])
        self.context.fault("operator", f"The operator “{shown}” is unknown and left out.", once=True)

    def _misfit(self, name: str, operator: Operator, operands: list[Any]) -> None:
        """Note an operator whose operands are not what it takes; with some to spare the last ones are used."""
        count = len(operator.takes)
        fitted = fitting(operator, operands[len(operands) - count :]) if len(operands) > count else None
        if fitted is None:
            message = f"The operator “{name}” lacks the operands it needs and is left out."
            self.context.fault("operand", message)
            return
        self.context.fault("operand", f"The operator “{name}” has more operands than it takes.", once=True)
        operator.act(self, *fitted)

    def _finish(self) -> None:
        """Note and put back what the stream leaves open."""
        frame, context, paths = self.frame, self.context, self.canvas.paths
        if frame.saved or frame.unsaved:
            context.fault("q", "The graphics state is saved more often than it is restored.")
            if frame.saved:
                self.state = frame.saved[0]
            frame.saved, frame.unsaved = [], 0
        if frame.marks:
            context.fault("marked content", "Marked content is not closed.")
            self.canvas.layer, self.canvas.hidden = frame.marks[0]
            frame.marks = []
        if paths.pending:
            context.fault("path", "A path is not painted; it is left out.")
            paths.pending = []
        self.clip_rule = None
        frame.text = None

    def _damage(self, message: str) -> None:
        self.context.deadline.check()  # damage may go on and on within one stretch
        self.context.note(NoteKind.FAULT, "content", message, once=True)

    def save(self) -> None:
        """Save the graphics state, as ``q`` does."""
        if len(self.frame.saved) >= _MOST_SAVED:
            if not self.frame.unsaved:
                message = f"More than {_MOST_SAVED:,} graphics states are saved inside one another; the innermost are not."
                self.context.not_modelled("q", message, once=True)
            self.frame.unsaved += 1
            return
        self.frame.saved.append(self.state.copied())

    def restore(self) -> None:
        """Put back the graphics state saved last, as ``Q`` does."""
        if self.frame.unsaved:
            self.frame.unsaved -= 1
        elif self.frame.saved:
            self.state = self.frame.saved.pop()
        else:
            self.context.fault("Q", "A graphics state is restored that was never saved.", once=True)

    def enter(self, content: Content | None) -> None:
        """Open a mark; content of a layer that is not drawn hides everything inside."""
        canvas = self.canvas
        self.frame.marks.append((canvas.layer, canvas.hidden))
        if content is not None:
            canvas.layer = content.layer
            canvas.hidden = canvas.hidden or content.hidden

    def leave(self) -> None:
        """Close the mark opened last."""
        if self.frame.marks:
            self.canvas.layer, self.canvas.hidden = self.frame.marks.pop()
        else:
            self.context.fault("marked content", "Marked content is closed that was never opened.", once=True)

    def draw(self, kind: Kind, shape: int, fill: Paint, stroke: Stroke, **facts: Any) -> None:
        """Put a shape on the page as the operator at work draws it."""
        painting = self.lettering.painting
        if painting is not None:
            kind, fill, stroke, facts = painting.painted(kind, fill, stroke, facts)
        self.canvas.add(kind, self.origin(), shape, self.state, fill=fill, stroke=stroke, **facts)

    def draw_box(self, kind: Kind, matrix: Matrix, fill: Paint, **facts: Any) -> None:
        """Put an object on the page whose outline is the unit square of a space.

        Parameters
        ----------
        matrix : from that space to mm.
        """
        shape = self.canvas.paths.box((0.0, 0.0, 1.0, 1.0), matrix)
        self.draw(kind, shape, fill, Stroke(), **facts)
