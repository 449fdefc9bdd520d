"""Inks as they were measured, which output intents hold by the inks' names (ISO 32000-2, table 401). Knows no content stream."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import msgspec
import pikepdf

from preflight.artwork.model import Note, NoteKind, Spot
from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.document.values import entry, identity, key_text

__all__ = ["NO_SPECTRA", "SpectralData", "spectral_data", "with_measurements"]

_LARGEST = 32 * 2**20
"""Bytes of one stream: a hundred thousand measurements."""

_WHAT = "spectral data"

Lab = tuple[float, float, float]
Tints = tuple[tuple[float, Lab], ...]


class SpectralData(NamedTuple):
    """Lab D50 of measured tints by the ink's name, shares rising to the full one; and what is to be said about the rest."""

    measured: Mapping[str, Tints]
    notes: tuple[Note, ...]


NO_SPECTRA = SpectralData({}, ())


class _Ink(NamedTuple):
    tints: Tints
    refusal: str | None


def spectral_data(holder: Any, streams: Streams) -> SpectralData:
    """The inks that the output intents of a catalogue or page hold.

    Parameters
    ----------
    holder : `pikepdf.Dictionary`, the document's catalogue or a page; output intents of pages are PDF 2.0's.
    """
    intents = entry(holder, "/OutputIntents")
    if not isinstance(intents, pikepdf.Array):
        return NO_SPECTRA
    measured: dict[str, Tints] = {}
    notes: dict[Note, None] = {}
    read: dict[Any, Mapping[str, _Ink] | str] = {}
    for intent in intents:
        spectra = entry(intent, "/SpectralData")
        if not isinstance(spectra, pikepdf.Dictionary):
            continue
        for key, stream in spectra.items():
            name = key_text(key)
            place = identity(stream)
            found = read.get(place) if place is not None else None
            if found is None:
                # One stream may serve several inks.
                found = read[place] = _inks(stream, streams, notes)
            ink = found if isinstance(found, str) else found.get(name)
            if isinstance(ink, _Ink) and ink.refusal is None:
                measured.setdefault(name, ink.tints)
                continue
            why = (
                ink if isinstance(ink, str) else ink.refusal if ink else "it holds no measurement of that ink"
            )
            message = (
                f"The spectral data of “{name}” cannot be used: {why}. Its alternate colour is used instead."
            )
            notes[Note(NoteKind.FAULT, _WHAT, message)] = None
    return SpectralData(measured, tuple(notes))


def _inks(stream: Any, streams: Streams, notes: dict[Note, None]) -> Mapping[str, _Ink] | str:
    """The inks of one stream, CxF/X-4, or why there are none."""
    from preflight.colour.cxf import colours_of_cxf  # needed by hardly any file
    from preflight.colour.errors import ColourFileError

    if not isinstance(stream, pikepdf.Stream):
        return "it is not in the file"
    unpacked = streams.unpacked(stream)
    if unpacked.fault:
        return unpacked.fault[0].lower() + unpacked.fault[1:]
    if len(unpacked.data) > _LARGEST:
        return f"it is larger than {_LARGEST // 2**20} MB"
    try:
        colours, refused, unread = colours_of_cxf(unpacked.data, Path("output intent"))
    except ColourFileError as error:
        return f"it {error.problem}"
    for what in unread:
        notes[Note(NoteKind.NOT_MODELLED, _WHAT, f"Of the spectral data of an output intent, {what}.")] = None
    found = {one.name: _Ink((), one.reason) for one in refused}
    for colour in colours:
        tints = tuple((tint.share, tint.lab) for tint in colour.tints)
        found[colour.name] = _Ink(tints or ((1.0, colour.lab),), None)
    return found


def with_measurements(spots: Sequence[Spot], measured: Mapping[str, Tints]) -> tuple[Spot, ...]:
    """Named colours with the measurements of their inks."""
    return tuple(
        msgspec.structs.replace(spot, measured=measured[spot.name]) if spot.name in measured else spot
        for spot in spots
    )
