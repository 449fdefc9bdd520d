"""Named colours in CxF3 and CxF/X-4, the XML of ISO 17972-1 and -4. Knows no profile and no artwork.

Read are the objects of the collection, each by its name: reflectance first, else Lab, else XYZ; and inks with their tints, which are made
of the objects that measure them.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np
from lxml import etree

from preflight.colour import cielab
from preflight.colour.cxf_inks import InkMeasurement, inks_of
from preflight.colour.errors import ColourFileError
from preflight.colour.libraries import LibraryColour, Refused, Tint, problem_of
from preflight.colour.spaces import D50, Triple

__all__ = ["colours_of_cxf"]

NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
_TAG = f"{{{NAMESPACE}}}"

_WAVELENGTHS = np.arange(340.0, 831.0, 10.0)
"""nm, of the tables of observers and lights that colormath brings along."""
_SEEN = (420.0, 680.0)
"""nm. Reflectance that does not reach from here to here says too little; beyond its ends it goes on as it ends."""


class _Conditions(NamedTuple):
    """What a measurement is for, as the file says; empty where it does not."""

    illuminant: str = ""
    observer: str = ""
    start: float | None = None
    increment: float | None = None


class _UnusableError(ValueError):
    """Why the values of one colour cannot be used."""


def colours_of_cxf(data: bytes, path: Path) -> tuple[list[LibraryColour], list[Refused], list[str]]:
    """The named colours of a CxF document, those that cannot be used, and what else is not read, a sentence each.

    Raises
    ------
    ColourFileError
        It is not XML, or not CxF3.
    """
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise ColourFileError(path, f"is no well-formed XML: {error.msg}; export the library again") from None
    if root.tag != f"{_TAG}CxF":
        raise ColourFileError(
            path, "is XML, but no CxF3 document; export the library as CxF3, or as CSV with name,L,a,b"
        )
    conditions = {
        specification.get("Id", ""): _conditions(specification)
        for specification in root.iter(f"{_TAG}ColorSpecification")
    }
    inks = inks_of(root, _TAG)
    colours, refused = [], [Refused(name, reason) for name, reason in inks.broken]
    for name, measurements in inks.measured.items():
        try:
            colours.append(_ink(name, measurements, conditions, inks.unread))
        except _UnusableError as error:
            refused.append(Refused(name, str(error)))
    for one in root.iterfind(f"{_TAG}Resources/{_TAG}ObjectCollection/{_TAG}Object"):
        if one in inks.taken:
            continue
        name = (one.get("Name") or "").strip()
        try:
            if not name:
                raise _UnusableError("it has no name")
            colours.append(LibraryColour(name, _sound(_lab(one, conditions))))
        except _UnusableError as error:
            refused.append(Refused(name or f"line {one.sourceline}", str(error)))
    return colours, refused, inks.unread


def _ink(
    name: str, measurements: list[InkMeasurement], known: dict[str, _Conditions], unread: list[str]
) -> LibraryColour:
    """An ink with its tints; every measurement has to be sound."""
    tints: dict[float, Triple] = {}
    for measured in measurements:
        try:
            lab = _sound(_lab(measured.one, known, measured.spectrum))
        except _UnusableError as error:
            raise _UnusableError(f"at {100 * measured.tint:g} % {error}") from None
        if measured.tint in tints:
            unread.append(
                f"line {measured.one.sourceline}: “{name}” is measured at {100 * measured.tint:g} % again; "
                "the first measurement counts"
            )
        tints.setdefault(measured.tint, lab)
    if 1.0 not in tints:
        raise _UnusableError("it is not measured at full tint")
    ramp = tuple(Tint(share, tints[share]) for share in sorted(tints))
    return LibraryColour(name, tints[1.0], ramp if len(ramp) > 1 else ())


def _sound(lab: Triple) -> Triple:
    problem = problem_of(lab)
    if problem is not None:
        raise _UnusableError(f"it has {problem}")
    return lab


def _conditions(specification: etree._Element) -> _Conditions:
    reach = specification.find(f"{_TAG}MeasurementSpec/{_TAG}WavelengthRange")
    return _Conditions(
        specification.findtext(f"{_TAG}TristimulusSpec/{_TAG}Illuminant", "").strip(),
        specification.findtext(f"{_TAG}TristimulusSpec/{_TAG}Observer", "").strip(),
        _optional(reach, "StartWL"),
        _optional(reach, "Increment"),
    )


def _optional(element: etree._Element | None, name: str) -> float | None:
    text = None if element is None else element.get(name)
    try:
        return None if text is None else float(text)
    except ValueError:
        return None


def _lab(one: etree._Element, known: dict[str, _Conditions], spectrum: str | None = None) -> Triple:
    values = one.find(f"{_TAG}ColorValues")
    if values is None:
        raise _UnusableError("it has no colour values")
    for kind, read in (
        ("ReflectanceSpectrum", _of_reflectance),
        ("ColorCIELab", _of_lab),
        ("ColorCIEXYZ", _of_xyz),
    ):
        found = values.findall(f"{_TAG}{kind}")
        if found:
            chosen = _chosen(found, spectrum) if kind == "ReflectanceSpectrum" else found[0]
            return read(chosen, known.get(chosen.get("ColorSpecification", ""), _Conditions()))
    raise _UnusableError("it has neither reflectance nor Lab nor XYZ")


def _chosen(spectra: list[etree._Element], wanted: str | None) -> etree._Element:
    """The spectrum that a reference means: by its name, or by what it was measured under; a lone one is meant anyhow."""
    if wanted is None or len(spectra) == 1:
        return spectra[0]
    for key in ("Name", "ColorSpecification"):
        for one in spectra:
            if one.get(key) == wanted:
                return one
    raise _UnusableError(f"line {spectra[0].sourceline}: none of its spectra is “{wanted}”")


def _of_lab(element: etree._Element, conditions: _Conditions) -> Triple:
    lab = _numbers(element, ("L", "A", "B"))
    white = _white(conditions)
    if white is None:
        return lab
    xyz = cielab.to_xyz(np.array([lab]), white)[0].tolist()
    return _adapted((xyz[0], xyz[1], xyz[2]), white)


def _of_xyz(element: etree._Element, conditions: _Conditions) -> Triple:
    x, y, z = _numbers(element, ("X", "Y", "Z"))
    return _adapted((x / 100.0, y / 100.0, z / 100.0), _white(conditions) or D50)


def _adapted(xyz: Triple, white: Triple) -> Triple:
    lab = cielab.from_xyz(cielab.adapted(xyz, white)).tolist()
    return lab[0], lab[1], lab[2]


def _numbers(element: etree._Element, names: tuple[str, str, str]) -> Triple:
    try:
        x, y, z = (float(element.findtext(f"{_TAG}{name}", "")) for name in names)
    except ValueError:
        raise _UnusableError(f"line {element.sourceline}: {', '.join(names)} are not three numbers") from None
    return x, y, z


def _white(conditions: _Conditions) -> Triple | None:
    """XYZ of the white that values are relative to, Y 1; None for D50, which nothing has to be done about."""
    if conditions.observer not in ("", "2_Degree"):
        raise _UnusableError(
            f"it is measured for the observer {conditions.observer}, not for 2°, and has no reflectance"
        )
    if conditions.illuminant in ("", "D50"):
        return None
    light = _light(conditions.illuminant)
    x, y, z = (float((light * observer).sum()) for observer in _observer())
    return x / y, 1.0, z / y


def _observer() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The 2° observer of CIE 1931 at `_WAVELENGTHS`."""
    from colormath import spectral_constants  # only where a library needs it

    return (
        np.asarray(spectral_constants.STDOBSERV_X2),
        np.asarray(spectral_constants.STDOBSERV_Y2),
        np.asarray(spectral_constants.STDOBSERV_Z2),
    )


def _light(name: str) -> np.ndarray:
    from colormath import spectral_constants

    table = getattr(spectral_constants, f"REFERENCE_ILLUM_{name}", None)
    if table is None:
        raise _UnusableError(
            f"it is measured for the light {name}, which is not known here, and has no reflectance"
        )
    return np.asarray(table)


def _of_reflectance(element: etree._Element, conditions: _Conditions) -> Triple:
    """Lab of reflectance, 1 for all that falls on it, summed up in steps of 10 nm under D50 for the 2° observer."""
    try:
        shares = np.array((element.text or "").split(), dtype=float)
    except ValueError:
        raise _UnusableError(
            f"line {element.sourceline}: its reflectance holds something that is no number"
        ) from None
    start = _optional(element, "StartWL")
    start = conditions.start if start is None else start
    step = conditions.increment or 10.0
    if start is None or len(shares) < 2:
        raise _UnusableError(
            f"line {element.sourceline}: its reflectance does not say where it starts, or breaks off"
        )
    if not (np.isfinite(shares).all() and (shares >= -0.01).all() and (shares <= 2.0).all()):
        raise _UnusableError(f"line {element.sourceline}: its reflectance is not given in shares of 1")
    measured = start + step * np.arange(len(shares))
    if measured[0] > _SEEN[0] or measured[-1] < _SEEN[1]:
        raise _UnusableError(
            f"line {element.sourceline}: its reflectance goes from {measured[0]:g} to {measured[-1]:g} nm; "
            f"at least {_SEEN[0]:g} to {_SEEN[1]:g} nm are needed"
        )
    light = _light("D50") * np.interp(_WAVELENGTHS, measured, shares)
    whole = _light("D50")
    observer = _observer()
    # Relative to the white of the same sum, so that a perfect white is Lab 100, 0, 0 whatever the steps leave out.
    x, y, z = (
        float((light * seen).sum() / (whole * seen).sum()) * part
        for seen, part in zip(observer, D50, strict=True)
    )
    return _adapted((x, y, z), D50)
