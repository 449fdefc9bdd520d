"""Optional content of a document: its groups as layers, which show and which print. Knows no page and no operator.

ISO 32000-1, 8.11, with its default configuration; ISO 19593-1 metadata of processing steps.
"""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import msgspec
import pikepdf

from preflight.artwork.model import Layer, NoteKind, ProcessingStep
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, identity, name_text, text
from preflight.readers.pdf.layers.layer_order import ordered
from preflight.readers.pdf.layers.usage import recommended

__all__ = ["OptionalContent", "State", "group_key"]


class State(msgspec.Struct, frozen=True):
    """Whether something shows on a screen and whether it prints."""

    shows: bool
    prints: bool


ON = State(True, True)


def group_key(group: Any) -> Hashable:
    """What tells one group from another: its object number, or its name where it stands directly in place."""
    return identity(group) or ("direct", text(entry(group, "/Name")))


class OptionalContent:
    """The groups of a document.

    Attributes
    ----------
    layers : groups and headings in the order that a list of layers shows them, parents first.
    """

    def __init__(self, context: Context) -> None:
        self._context = context
        properties = entry(context.pdf.Root, "/OCProperties")
        self._default = entry(properties, "/D")
        self._groups: dict[Hashable, Any] = {}
        self._states: dict[Hashable, State] = {}
        self._index: dict[Hashable, int] = {}
        self.layers: list[Layer] = []
        self._declared = isinstance(properties, pikepdf.Dictionary)
        if not self._declared:
            return
        for group in _array(entry(properties, "/OCGs")):
            if isinstance(group, pikepdf.Dictionary):
                self._groups.setdefault(group_key(group), group)
        self._on, self._off = (self._set_of(key) for key in ("/ON", "/OFF"))
        self._locked = self._set_of("/Locked")
        self._rules = self._rules_by_group()
        self._say_what_is_left_out(properties)
        self._list()

    def of(self, group: Any) -> int:
        """Index of a group's layer; a group that the document does not list joins the end, with a note."""
        key = group_key(group)
        if key not in self._index:
            if self._declared:
                message = (
                    "A layer that is used is not in the document's list of layers; programs differ on it."
                )
                self._context.note(NoteKind.FAULT, "layer", message)
            self._add(key, group, None)
        return self._index[key]

    def state(self, group: Any) -> State:
        """Whether a group shows and prints."""
        key = group_key(group)
        found = self._states.get(key)
        if found is None:
            found = self._states[key] = self._worked_out(key, group)
        return found

    def _set_of(self, key: str) -> set[Hashable]:
        return {group_key(one) for one in _array(entry(self._default, key))}

    def _worked_out(self, key: Hashable, group: Any) -> State:
        if not self._declared or not self._meant(group):
            return ON
        state = name_text(entry(self._default, "/BaseState")) != "OFF"
        if key in self._on:
            state = True
        if key in self._off:
            state = False
        shows, prints = (
            recommended(group, self._rules.get((event, key), ()), self._context)
            for event in ("View", "Print")
        )
        return State(state if shows is None else shows, state if prints is None else prints)

    def _rules_by_group(self) -> dict[tuple[str | None, Hashable], list[Any]]:
        """The usage application dictionaries of each event and group: looked up once, for a file may have many of both."""
        rules: dict[tuple[str | None, Hashable], list[Any]] = {}
        for rule in _array(entry(self._default, "/AS")):
            event = name_text(entry(rule, "/Event"))
            for key in dict.fromkeys(group_key(one) for one in _array(entry(rule, "/OCGs"))):
                self._context.deadline.check()
                rules.setdefault((event, key), []).append(rule)
        return rules

    def _meant(self, group: Any) -> bool:
        """Whether the configuration looks at groups of this intent; those it does not look at are on (8.11.2.3)."""
        wanted = _intents(entry(self._default, "/Intent"))
        return "All" in wanted or bool(wanted & _intents(entry(group, "/Intent")))

    def _list(self) -> None:
        places: dict[int, int] = {}
        order = ordered(entry(self._default, "/Order"), self._context)
        for number, place in enumerate(order):
            parent = None if place.parent is None else places.get(place.parent)
            if place.heading is not None:
                self.layers.append(Layer(place.heading, parent, explicit=False))
                places[number] = len(self.layers) - 1
                continue
            key = group_key(place.group)
            if key in self._groups and key not in self._index:
                self._add(key, place.group, parent)
            if key in self._index:
                places[number] = self._index[key]
        for key, group in self._groups.items():
            if key not in self._index:
                self._add(key, group, None)

    def _add(self, key: Hashable, group: Any, parent: int | None) -> None:
        state = self.state(group)
        name = text(entry(group, "/Name"))
        if not name:
            name = f"Layer {len(self.layers) + 1}"
            message = f"A layer has no name; it is called “{name}” here."
            self._context.note(NoteKind.FAULT, "layer", message)
        self._index[key] = len(self.layers)
        self.layers.append(
            Layer(
                name=name,
                parent=parent,
                visible=state.shows,
                printing=state.prints,
                locked=self._declared and key in self._locked,
                step=self._step(group, name),
            )
        )
        if state.prints and not state.shows:
            message = f"The layer “{name}” prints but does not show on a screen; it is judged as printed."
            self._context.note(NoteKind.ASSUMED, "layer", message)

    def _step(self, group: Any, name: str) -> ProcessingStep | None:
        """Metadata of a processing step (ISO 19593-1: GTS_Metadata in the group's dictionary)."""
        metadata = entry(group, "/GTS_Metadata")
        if metadata is None:
            return None
        step_group = name_text(entry(metadata, "/GTS_ProcStepsGroup"))
        step_type = name_text(entry(metadata, "/GTS_ProcStepsType"))
        if step_group is None:
            if isinstance(metadata, pikepdf.Dictionary) and step_type is None:
                return None  # other metadata than that of a processing step
            message = (
                f"The layer “{name}” has metadata of a processing step that names no group; it is left out."
            )
            self._context.note(NoteKind.FAULT, "processing step", message)
            return None
        if step_type is None and step_group in ("Structural", "Positions", "PlateMaking"):
            message = f"The layer “{name}” is a processing step of the group {step_group} but does not say of which type."
            self._context.note(NoteKind.FAULT, "processing step", message)
        return ProcessingStep(step_group, step_type)

    def _say_what_is_left_out(self, properties: Any) -> None:
        if self._default is None:
            message = (
                "The document has layers but no default configuration of them; all of them are taken to show."
            )
            self._context.note(NoteKind.FAULT, "layer", message)
        others = len(_array(entry(properties, "/Configs")))
        if others:
            message = (
                f"The document has {others} more configurations of its layers; the default one is judged."
            )
            self._context.note(NoteKind.ASSUMED, "layer configurations", message)


def _array(value: Any) -> list[Any]:
    return list(value) if isinstance(value, pikepdf.Array) else []


def _intents(value: Any) -> set[str]:
    """Intents of a group or configuration; View where none is given (ISO 32000-1, Tables 98 and 101)."""
    if value is None:
        return {"View"}
    names = _array(value) if isinstance(value, pikepdf.Array) else [value]
    return {name for name in map(name_text, names) if name is not None}
