"""Finds the colour space that a name or definition of a PDF stands for (ISO 32000-1 8.6). Paints nothing itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pikepdf

from preflight.artwork.model import NoteKind, Spot
from preflight.readers.pdf.colours.calibrated_spaces import CalGray, CalRgb, IccBased, Lab, SpaceError
from preflight.readers.pdf.colours.colour_space import ColourSpace, UnknownSpace
from preflight.readers.pdf.colours.device_spaces import DeviceCmyk, DeviceGray, DeviceRgb
from preflight.readers.pdf.colours.ink_definitions import ink_space
from preflight.readers.pdf.colours.ink_spaces import InkSpace
from preflight.readers.pdf.colours.special_spaces import Indexed, PatternSpace
from preflight.readers.pdf.colours.spots import SpotBook
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.document.values import entry, identity, name_text, number, object_of

__all__ = ["ColourSpace", "Colours", "space_of"]

_DEEPEST = 8
"""Colour spaces inside one another; the standard's rules allow five."""
_KEPT = 20_000
"""Names looked up that are kept; a project assumption."""

_DEVICE = ("DeviceGray", "DeviceRGB", "DeviceCMYK")
_DEFAULTS = ("DefaultGray", "DefaultRGB", "DefaultCMYK")
_ABBREVIATIONS = {"G": "DeviceGray", "RGB": "DeviceRGB", "CMYK": "DeviceCMYK"}
"""Of inline images: ISO 32000-1 table 94. Its "I", for Indexed, only begins a definition."""

_Substitutes = tuple[ColourSpace | None, ...]
"""What stands for the three device spaces: the Default spaces of the resources in force (8.6.5.6)."""


class Colours:
    """The colour spaces and named colours met while one page is read."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self._book = SpotBook()
        self._unknown = UnknownSpace(self.say)
        devices: tuple[ColourSpace, ...] = (DeviceGray(self.say), DeviceRgb(self.say), DeviceCmyk(self.say))
        self._devices = dict(zip(_DEVICE, devices, strict=True))
        self._none: _Substitutes = (None, None, None)
        # Each entry holds its resources, so that no other can come to the same address.
        self._named: dict[tuple[int, str, bool], tuple[Resources | None, ColourSpace]] = {}
        self._substituted: dict[int, tuple[Resources, _Substitutes]] = {}
        self.shadings: dict[object, Any] = {}
        """What `shadings` has read, by object; nothing else uses it."""
        self._defined: dict[tuple[object, tuple[int, ...]], ColourSpace] = {}

    def say(self, kind: NoteKind, what: str, message: str) -> None:
        """Write a note about the page's colours, once."""
        self.context.note(kind, what, message, once=True)

    @property
    def spots(self) -> tuple[Spot, ...]:
        """The named colours met so far; one name with two definitions is there twice."""
        return self._book.spots

    def space_of(self, value: Any, resources: Resources | None, *, inline: bool = False) -> ColourSpace:
        """The colour space of a name (``"DeviceCMYK"``, ``"CS0"``, a name object) or a definition.

        Never raises for what the file holds: a broken space is noted and paints `PaintKind.UNKNOWN`.

        Parameters
        ----------
        value : str without slash, `pikepdf.Name` or `pikepdf.Array`; a list as read from an inline image.
        resources : resources in force, for names and for the Default spaces.
        inline : whether the abbreviations of inline images (G, RGB, CMYK, I) are meant.
        """
        if isinstance(value, pikepdf.Name):
            value = name_text(value)
        elif isinstance(value, list):
            value = object_of(value)
        key = (id(resources), value, inline) if isinstance(value, str) else None
        known = self._named.get(key) if key else None
        if known is not None:
            return known[1]
        try:
            found = self._space(value, resources, self._substitutes(resources), inline, 0)
        except (SpaceError, pikepdf.PdfError) as error:
            called = f"“{value}”" if isinstance(value, str) else "of an object"
            self.say(NoteKind.FAULT, "colour space", f"The colour space {called} cannot be read: {error}.")
            found = self._unknown
        if key:
            if len(self._named) >= _KEPT:
                self._named.clear()
            self._named[key] = (resources, found)
        return found

    def collect(self, resources: Resources | None) -> None:
        """Meet every colour space that a resource dictionary defines, used or not."""
        while resources is not None:
            entries = _spaces_in(resources)
            if entries is not None:
                for _, value in entries.items():
                    if isinstance(value, pikepdf.Array):
                        self.space_of(value, resources)
            resources = resources.behind

    def _substitutes(self, resources: Resources | None) -> _Substitutes:
        """The Default spaces of the resources in force; those of the page do not reach into a form with its own."""
        while resources is not None and not isinstance(resources.dictionary, pikepdf.Dictionary):
            resources = resources.behind
        if resources is None:
            return self._none
        known = self._substituted.get(id(resources))
        if known is None:
            if len(self._substituted) >= _KEPT:
                self._substituted.clear()
            known = self._substituted[id(resources)] = (resources, self._read_substitutes(resources))
        return known[1]

    def _read_substitutes(self, resources: Resources) -> _Substitutes:
        entries = _spaces_in(resources)
        if entries is None:
            return self._none
        return tuple(
            self._substitute(entry(entries, f"/{default}"), default, self._devices[device].components)
            for default, device in zip(_DEFAULTS, _DEVICE, strict=True)
        )

    def _substitute(self, value: Any, default: str, components: int) -> ColourSpace | None:
        if value is None or name_text(value) in _DEVICE:
            return None
        try:
            # A device space inside a Default space is that device space.
            found = self._space(value, None, self._none, False, 1)
        except (SpaceError, pikepdf.PdfError) as error:
            self.say(NoteKind.FAULT, "colour space", f"{default} cannot be read: {error}. It is left out.")
            return None
        if found.components != components or found.name in ("indexed", "pattern", "lab"):
            message = f"{default} is a colour space of the wrong kind ({found.name}). It is left out."
            self.say(NoteKind.FAULT, "colour space", message)
            return None
        return found

    def _space(
        self, value: Any, resources: Resources | None, substitutes: _Substitutes, inline: bool, depth: int
    ) -> ColourSpace:
        if depth > _DEEPEST:
            raise SpaceError("its definition leads back to itself")
        if isinstance(value, pikepdf.Name):
            value = name_text(value)
        if isinstance(value, str):
            return self._of_name(value, resources, substitutes, inline, depth)
        if not isinstance(value, pikepdf.Array) or not len(value):
            raise SpaceError("it is neither a name nor a definition")
        family = name_text(value[0])
        if family is None:
            raise SpaceError("it does not begin with the name of a kind of colour space")
        if len(value) == 1 or family in _DEVICE:
            return self._of_name(family, None, substitutes, True, depth)
        key = (identity(value) or value.unparse(), tuple(map(id, substitutes)))
        known = self._defined.get(key)
        if known is None:

            def inner(part: Any) -> ColourSpace:
                return self._space(part, resources, substitutes, inline, depth + 1)

            known = self._defined[key] = self._read(family, value, inner)
        return known

    def _of_name(
        self, name: str, resources: Resources | None, substitutes: _Substitutes, inline: bool, depth: int
    ) -> ColourSpace:
        entry = None
        if name not in _DEVICE and name != "Pattern" and resources is not None:
            entry = resources.find("ColorSpace", name)
        if entry is not None:
            # A name in the resources that names itself, or goes round, runs into the limit on depth.
            return self._space(entry, resources, substitutes, False, depth + 1)
        if name in _ABBREVIATIONS and not inline:
            message = f"The abbreviation “{name}” names a colour space where only inline images may use it."
            self.say(NoteKind.FAULT, "colour space", message)
        name = _ABBREVIATIONS.get(name, name)
        if name in _DEVICE:
            return substitutes[_DEVICE.index(name)] or self._devices[name]
        if name == "Pattern":
            return PatternSpace(self.say, None)
        raise SpaceError("there is no colour space of this name")

    def _read(self, family: str, value: pikepdf.Array, inner: Callable[[Any], ColourSpace]) -> ColourSpace:
        """The space of a definition with parameters; ``inner`` reads the spaces inside it."""
        match family:
            case "CalGray" | "CalRGB" | "Lab":
                if not isinstance(value[1], pikepdf.Dictionary):
                    raise SpaceError("it has no dictionary")
                return {"CalGray": CalGray, "CalRGB": CalRgb, "Lab": Lab}[family](self.say, value[1])
            case "CalCMYK":  # PDF 1.1's, which was never worked out and means DeviceCMYK
                return inner("DeviceCMYK")
            case "ICCBased":
                return self._icc(value[1], inner)
            case "Indexed" | "I":
                return self._indexed(value, inner)
            case "Pattern":
                base = inner(value[1])
                if isinstance(base, PatternSpace):
                    raise SpaceError("a pattern space stands on a pattern space")
                return PatternSpace(self.say, base)
            case "Separation" | "DeviceN":
                return self._inks(value, inner)
        raise SpaceError(f"there is no kind of colour space called “{family[:40]}”")

    def _icc(self, stream: Any, inner: Callable[[Any], ColourSpace]) -> ColourSpace:
        if not isinstance(stream, pikepdf.Stream):
            raise SpaceError("it has no ICC profile")
        alternate = None
        given = entry(stream, "/Alternate")
        # Without an alternate, or with the device space of the same N, the device formula serves.
        if given is not None and name_text(given) not in _DEVICE:
            try:
                alternate = inner(given)
            except SpaceError as error:
                message = f"The alternate colour space of an ICC profile cannot be read: {error}."
                self.say(NoteKind.FAULT, "icc alternate", message)
        if isinstance(alternate, (PatternSpace, UnknownSpace)):
            alternate = None
        return IccBased(self.say, stream, alternate, self.context.streams)

    def _indexed(self, value: pikepdf.Array, inner: Callable[[Any], ColourSpace]) -> ColourSpace:
        if len(value) < 4:
            raise SpaceError("an indexed colour space lacks its base, its highest number or its table")
        base = inner(value[1])
        if isinstance(base, (Indexed, PatternSpace)):
            raise SpaceError(f"an indexed colour space stands on one of kind {base.name}")
        highest = number(value[2])
        if highest is None or highest != int(highest) or not 0 <= highest <= 255:
            raise SpaceError("the highest number of an indexed colour space is not from 0 to 255")
        table = value[3]
        if isinstance(table, pikepdf.Stream):
            unpacked = self.context.streams.unpacked(table)
            if unpacked.fault:
                self.say(NoteKind.FAULT, "indexed table", f"{unpacked.fault}, of an indexed colour space.")
            return Indexed(self.say, base, int(highest), unpacked.data)
        if not isinstance(table, pikepdf.String):
            raise SpaceError("the table of an indexed colour space is neither a string nor a stream")
        return Indexed(self.say, base, int(highest), bytes(table))

    def _inks(self, value: pikepdf.Array, inner: Callable[[Any], ColourSpace]) -> InkSpace:
        space = ink_space(value, inner, self.say, self.context.streams)
        for definition in space.definitions():
            self._book.add(definition)
        return space


def _spaces_in(resources: Resources) -> pikepdf.Dictionary | None:
    """The colour spaces that a resource dictionary names."""
    if not isinstance(resources.dictionary, pikepdf.Dictionary):
        return None
    entries = entry(resources.dictionary, "/ColorSpace")
    return entries if isinstance(entries, pikepdf.Dictionary) else None


def space_of(value: Any, resources: Resources | None, colours: Colours) -> ColourSpace:
    """`Colours.space_of`, as a function."""
    return colours.space_of(value, resources)
