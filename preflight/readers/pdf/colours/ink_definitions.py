"""Reads Separation and DeviceN definitions (ISO 32000-1 8.6.6.4, 8.6.6.5) into ink spaces. Paints nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeGuard

import pikepdf

from preflight.artwork.model import NoteKind, Origin
from preflight.colour.ink_names import ALL, NONE, PROCESS
from preflight.readers.pdf.colours.calibrated_spaces import SpaceError
from preflight.readers.pdf.colours.colour_space import Colorant, ColourSpace, Say, UnknownSpace
from preflight.readers.pdf.colours.ink_spaces import InkSpace, MixingHints
from preflight.readers.pdf.colours.special_spaces import Indexed, PatternSpace
from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.document.values import entry, identity, key_text, name_text, number
from preflight.readers.pdf.functions.reading import Function, FunctionError, function_of

__all__ = ["ink_space"]

_MOST_INKS = 10_000
"""The standard sets 32 (annex C); this only bounds the work."""
_SAMPLES_NAMED = 4


def ink_space(
    value: pikepdf.Array, inner: Callable[[Any], ColourSpace], say: Say, streams: Streams
) -> InkSpace:
    """The ink space of a definition. A broken alternate or tint transform is noted; the names hold without it.

    Parameters
    ----------
    inner : reads the colour space of an object, or raises SpaceError.

    Raises
    ------
    SpaceError
        The names of the inks cannot be read.
    """
    if name_text(value[0]) == "Separation":
        return _separation(value, inner, say, streams)
    if not isinstance(value[1], pikepdf.Array) or not 0 < len(value[1]) <= _MOST_INKS:
        raise SpaceError("it has no list of ink names")
    names = [name_text(name) for name in value[1]]
    known = [name for name in names if name is not None]
    if len(known) != len(names):
        raise SpaceError("the list of its inks holds something that is no name")
    attributes = value[4] if len(value) > 4 and isinstance(value[4], pikepdf.Dictionary) else None
    process = PROCESS | _process_names(attributes)
    colorants = [Colorant(name, name in process) for name in known]
    space = _with_look("device-n", colorants, value, inner, say, streams)
    _check_names(known, attributes, say)
    if attributes is not None:
        space.nchannel = entry(attributes, "/Subtype") == pikepdf.Name.NChannel
        space.hints = _mixing_hints(attributes)
        space.set_own_definitions(_own_definitions(attributes, known, inner, say, streams))
    return space


def _separation(
    value: pikepdf.Array, inner: Callable[[Any], ColourSpace], say: Say, streams: Streams
) -> InkSpace:
    name = name_text(value[1]) if len(value) > 1 else None
    if name is None:
        raise SpaceError("a separation has no name")
    return _with_look("separation", [Colorant(name, name in PROCESS)], value, inner, say, streams)


def _with_look(
    kind: str,
    colorants: list[Colorant],
    value: pikepdf.Array,
    inner: Callable[[Any], ColourSpace],
    say: Say,
    streams: Streams,
) -> InkSpace:
    """The space with its alternate and tint transform, as far as they can be read."""
    number_ = identity(value)
    origin = None if number_ is None else Origin(f"object {number_[0]}", object_number=number_[0])
    names = [ink.name for ink in colorants]
    if kind == "separation" and names[0] in (ALL, NONE):
        # "ignore the alternateSpace and tintTransform parameters": ISO 32000-1, 8.6.6.4.
        return InkSpace(say, kind, colorants, None, None, origin)
    alternate: ColourSpace | None = None
    transform: Function | None = None
    try:
        alternate = _alternate(value, inner)
        transform = _transform(value, len(colorants), alternate.components, streams)
    except (SpaceError, FunctionError, pikepdf.PdfError) as error:
        shown = ", ".join(f"“{name}”" for name in names[:_SAMPLES_NAMED])
        message = f"The look of {shown} cannot be worked out: {error}. It is shown in grey."
        say(NoteKind.FAULT, "tint transform", message)
    for remark in transform.remarks if transform is not None else ():
        say(NoteKind.ASSUMED, "tint transform", remark)
    return InkSpace(say, kind, colorants, alternate, transform, origin)


def _alternate(value: pikepdf.Array, inner: Callable[[Any], ColourSpace]) -> ColourSpace:
    if len(value) < 4:
        raise SpaceError("its alternate colour space or its tint transform is missing")
    given = value[2]
    family = name_text(given[0]) if isinstance(given, pikepdf.Array) and len(given) else None
    if family in ("Separation", "DeviceN", "Indexed", "Pattern"):
        # Said before it is read, so that no chain of them is followed; ISO 32000-1, 8.6.6.4 and 8.6.6.5 forbid them.
        raise SpaceError(f"its alternate is of kind {family}, which none may be")
    found = inner(given)
    if isinstance(found, (InkSpace, Indexed, PatternSpace, UnknownSpace)):
        raise SpaceError(f"its alternate is of kind {found.name}, which none may be")
    return found


def _transform(value: pikepdf.Array, inputs: int, outputs: int, streams: Streams) -> Function:
    found = function_of(value[3], streams)
    if found.inputs != inputs or found.outputs < outputs:
        raise FunctionError(
            f"its tint transform makes {found.outputs} numbers of {found.inputs} where {outputs} of {inputs} belong"
        )
    return found


def _process_names(attributes: pikepdf.Dictionary | None) -> frozenset[str]:
    process = entry(attributes, "/Process") if attributes is not None else None
    components = entry(process, "/Components") if isinstance(process, pikepdf.Dictionary) else None
    if not isinstance(components, pikepdf.Array):
        return frozenset()
    names = (name_text(name) for name in components)
    return frozenset(name for name in names if name is not None)


def _check_names(names: list[str], attributes: pikepdf.Dictionary | None, say: Say) -> None:
    """Note what the standard forbids of the names (ISO 32000-1, 8.6.6.5)."""
    inks = [name for name in names if name != NONE]
    if len(set(inks)) != len(inks):
        say(NoteKind.FAULT, "ink names", "A DeviceN colour space names the same ink twice.")
    if ALL in inks:
        say(
            NoteKind.FAULT,
            "ink names",
            "A DeviceN colour space names the ink “All”, which means no single ink.",
        )
    if attributes is None or entry(attributes, "/Subtype") != pikepdf.Name.NChannel:
        return
    if len(inks) < len(names):
        say(NoteKind.FAULT, "ink names", "An NChannel colour space names the ink “None”, which it may not.")


def _own_definitions(
    attributes: pikepdf.Dictionary,
    names: list[str],
    inner: Callable[[Any], ColourSpace],
    say: Say,
    streams: Streams,
) -> dict[str, InkSpace]:
    """The Separation of each colorant that the Colorants attribute defines by itself."""
    given = entry(attributes, "/Colorants")
    if not isinstance(given, pikepdf.Dictionary):
        return {}
    found: dict[str, InkSpace] = {}
    for key, definition in given.items():
        name = key_text(key)
        if name not in names:
            continue  # allowed: colorants of the spaces this one is to be mixed with
        if not _is_separation_of(definition, name):
            say(
                NoteKind.FAULT,
                "ink names",
                f"The ink “{name}” is defined by something else than its own separation.",
            )
            continue
        found[name] = _separation(definition, inner, say, streams)
    return found


def _is_separation_of(definition: Any, name: str) -> TypeGuard[pikepdf.Array]:
    if not isinstance(definition, pikepdf.Array) or len(definition) < 2:
        return False
    return name_text(definition[0]) == "Separation" and name_text(definition[1]) == name


def _mixing_hints(attributes: pikepdf.Dictionary) -> MixingHints | None:
    hints = entry(attributes, "/MixingHints")
    if not isinstance(hints, pikepdf.Dictionary):
        return None
    solidities: dict[str, float] = {}
    given = entry(hints, "/Solidities")
    if isinstance(given, pikepdf.Dictionary):
        for key, part in given.items():
            value = number(part)
            if value is not None:
                solidities[key_text(key)] = value
    order = entry(hints, "/PrintingOrder")
    names = [name_text(name) for name in order] if isinstance(order, pikepdf.Array) else []
    return MixingHints(solidities, tuple(name for name in names if name is not None))
