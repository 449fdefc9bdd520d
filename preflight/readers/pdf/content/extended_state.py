"""ExtGState dictionaries (ISO 32000-1, 8.4.5) as plain values. Knows no operator and no canvas."""

from __future__ import annotations

import re
from typing import Any

import msgspec
import pikepdf

from preflight.readers.pdf.document.values import entry, name_text, number, numbers

__all__ = ["BLEND_MODES", "ExtendedState", "blend_mode", "extended_state"]

BLEND_MODES = frozenset(
    {
        "Normal",
        "Compatible",
        "Multiply",
        "Screen",
        "Overlay",
        "Darken",
        "Lighten",
        "ColorDodge",
        "ColorBurn",
        "HardLight",
        "SoftLight",
        "Difference",
        "Exclusion",
        "Hue",
        "Saturation",
        "Color",
        "Luminosity",
    }
)
"""ISO 32000-1, tables 136 and 137."""

_DEVICE_KEYS = ("/BG", "/BG2", "/UCR", "/UCR2", "/TR", "/TR2", "/HT")
"""What a printer makes of colours: black generation, undercolour removal, transfer functions, halftones."""
_WORD = re.compile(r"(?<!^)(?=[A-Z])")


class ExtendedState(msgspec.Struct):
    """What a dictionary sets; None where it leaves things as they are.

    ``not_modelled`` and ``faults`` are pairs of a construct and a sentence without its full stop.
    """

    line_width: float | None = None
    line_cap: float | None = None
    line_join: float | None = None
    miter_limit: float | None = None
    dash: tuple[float, ...] | None = None
    dash_phase: float = 0.0
    font: tuple[Any, float] | None = None
    stroke_overprint: bool | None = None
    overprint: bool | None = None
    overprint_mode: int | None = None
    fill_alpha: float | None = None
    stroke_alpha: float | None = None
    blend: str | None = None
    soft_mask: bool | None = None
    not_modelled: list[tuple[str, str]] = msgspec.field(default_factory=list)
    faults: list[tuple[str, str]] = msgspec.field(default_factory=list)


def extended_state(value: Any) -> ExtendedState:
    """Read a graphics state dictionary (`pikepdf.Object`)."""
    found = ExtendedState()
    if not isinstance(value, pikepdf.Dictionary):
        found.faults.append(("gs", "It is no dictionary"))
        return found
    found.line_width = number(entry(value, "/LW"))
    found.line_cap = number(entry(value, "/LC"))
    found.line_join = number(entry(value, "/LJ"))
    found.miter_limit = number(entry(value, "/ML"))
    _read_dash(value, found)
    _read_font(value, found)
    _read_overprint(value, found)
    _read_transparency(value, found)
    if any(
        entry(value, key) is not None and name_text(entry(value, key)) != "Default" for key in _DEVICE_KEYS
    ):
        message = "Transfer functions, halftones or black generation are set, which change how colours print"
        found.not_modelled.append(("halftone", message))
    return found


def _read_dash(value: pikepdf.Dictionary, found: ExtendedState) -> None:
    given = entry(value, "/D")
    if given is None:
        return
    lengths = numbers(given[0]) if isinstance(given, pikepdf.Array) and len(given) == 2 else None
    phase = number(given[1]) if lengths is not None else None
    if lengths is None or phase is None:
        found.faults.append(("gs", "Its dash pattern is damaged"))
        return
    found.dash, found.dash_phase = tuple(lengths), phase


def _read_font(value: pikepdf.Dictionary, found: ExtendedState) -> None:
    given = entry(value, "/Font")
    if isinstance(given, pikepdf.Array) and len(given) == 2:
        size = number(given[1])
        if size is not None:
            found.font = (given[0], size)


def _read_overprint(value: pikepdf.Dictionary, found: ExtendedState) -> None:
    stroke, fill = entry(value, "/OP"), entry(value, "/op")
    found.stroke_overprint = stroke if isinstance(stroke, bool) else None
    # ISO 32000-1, table 58: OP stands for both where op is absent.
    found.overprint = fill if isinstance(fill, bool) else found.stroke_overprint
    mode = number(entry(value, "/OPM"))
    found.overprint_mode = None if mode is None else 1 if mode == 1 else 0


def _read_transparency(value: pikepdf.Dictionary, found: ExtendedState) -> None:
    for key, field in (("/ca", "fill_alpha"), ("/CA", "stroke_alpha")):
        alpha = number(entry(value, key))
        if alpha is not None:
            if not 0 <= alpha <= 1:
                found.faults.append(("gs", "Its opacity is not from 0 to 1"))
            setattr(found, field, min(max(alpha, 0.0), 1.0))
    given = entry(value, "/BM")
    if given is not None:
        found.blend = blend_mode(given)
        if found.blend is None:
            found.blend = "normal"
            found.faults.append(("blend mode", "Its blend mode is unknown and taken for the normal one"))
        if found.blend != "normal":
            found.not_modelled.append(("blend mode", f"The blend mode “{found.blend}” is not modelled"))
    mask = entry(value, "/SMask")
    if mask is not None:
        found.soft_mask = isinstance(mask, pikepdf.Dictionary)
        if found.soft_mask:
            found.not_modelled.append(
                ("soft mask", "A soft mask is not modelled; the whole of what it masks is judged")
            )
        elif name_text(mask) != "None":
            found.faults.append(("soft mask", "Its soft mask is damaged and left out"))
    if entry(value, "/AIS") is True:
        found.not_modelled.append(("alpha", "Opacity is meant as shape (AIS), which is not modelled"))


def blend_mode(value: Any) -> str | None:
    """The blend mode as CSS writes it (``color-dodge``): of several the first that is known; None if none is."""
    names = [name_text(one) for one in value] if isinstance(value, pikepdf.Array) else [name_text(value)]
    for name in names:
        if name in BLEND_MODES:
            return "normal" if name == "Compatible" else "-".join(_WORD.split(name or "")).lower()
    return None
