"""Which objects of a CxF document are measurements of an ink at some tint. Knows no colour: the objects are read elsewhere.

CxF/X-4 (ISO 17972-4) says it in a custom resource: for each ink, on each background, which object was measured at which tint. CxF3 has
device values for the same: the name of a spot colour and its percentage.

The names of the elements are those that ISO 32000-2, table 401, and open source that writes such files use; namespaces differ
between writers, so that elements are known by their local names.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lxml import etree

__all__ = ["InkMeasurement", "Inks", "inks_of"]

_CHARACTERISATIONS = ("SpotInkCharacterisation", "SpotInkCharacterization")


class InkMeasurement(NamedTuple):
    """One object that was measured on bare substrate.

    Attributes
    ----------
    tint : share of the ink, 0-1; 0 is the bare substrate.
    one : the object.
    spectrum : name of the one of its spectra that is meant, None where the file does not say.
    """

    tint: float
    one: etree._Element
    spectrum: str | None = None


class Inks(NamedTuple):
    """The inks of a document.

    Attributes
    ----------
    measured : the measurements of each ink by its name.
    broken : name and reason of each ink that cannot be used.
    taken : the objects that measure an ink, and are no colours of their own.
    unread : what else the file holds and is not read, a sentence each.
    """

    measured: dict[str, list[InkMeasurement]]
    broken: list[tuple[str, str]]
    taken: set[etree._Element]
    unread: list[str]


class _BrokenError(ValueError):
    """Why an ink cannot be used."""


def inks_of(root: etree._Element, tag: str) -> Inks:
    """The inks that a CxF document characterises.

    Parameters
    ----------
    root : the document's outermost element.
    tag : namespace of CxF3's own elements, in braces.
    """
    found = Inks({}, [], set(), [])
    objects = list(root.iterfind(f"{tag}Resources/{tag}ObjectCollection/{tag}Object"))
    by_id = {one.get("Id", ""): one for one in objects}
    for holder in root.iter(f"{tag}CustomResources"):
        for custom in holder.iterchildren(etree.Element):
            if etree.QName(custom).localname in _CHARACTERISATIONS:
                _characterisation(custom, by_id, found)
            else:
                found.unread.append(
                    f"line {custom.sourceline}: the custom resource {_shown(custom)} is not read"
                )
    _by_device_values([one for one in objects if one not in found.taken], tag, found)
    return found


def _characterisation(ink: etree._Element, by_id: dict[str, etree._Element], found: Inks) -> None:
    name = (ink.get("SpotInkName") or "").strip()
    shown = name or f"line {ink.sourceline}"
    try:
        measurements = list(_measurements(ink, shown, by_id, found))
        if not name:
            raise _BrokenError("its ink has no name")
        if name in found.measured:
            raise _BrokenError(f"line {ink.sourceline}: it is characterised twice; the first counts")
        found.measured[name] = measurements
    except _BrokenError as error:
        found.broken.append((shown, str(error)))


def _measurements(
    ink: etree._Element, shown: str, by_id: dict[str, etree._Element], found: Inks
) -> Iterator[InkMeasurement]:
    """Those on bare substrate; every object that is named is taken, whatever it was measured on."""
    for group in ink.iterchildren(etree.Element):
        if etree.QName(group).localname != "MeasurementSet":
            found.unread.append(f"line {group.sourceline}: {_shown(group)} of “{shown}” is not read")
            continue
        background = (group.get("Background") or "Substrate").strip()
        bare = background.casefold() == "substrate"
        if not bare and "black" not in background.casefold():
            found.unread.append(
                f"line {group.sourceline}: measurements of “{shown}” on the background “{background}” are not read"
            )
        for place in group.iterchildren(etree.Element):
            if etree.QName(place).localname != "Measurement":
                found.unread.append(f"line {place.sourceline}: {_shown(place)} of “{shown}” is not read")
                continue
            one = by_id.get(place.get("ObjectRef", ""))
            if one is None:
                raise _BrokenError(
                    f"line {place.sourceline}: it refers to the object “{place.get('ObjectRef', '')}”, which is not there"
                )
            found.taken.add(one)
            # What is printed over black tells how well an ink covers, which nothing here asks.
            if bare:
                tint = _tint(place.get("TintLevel"), place)
                yield InkMeasurement(tint, one, place.get("ReflectanceSpectrumNameRef"))


def _by_device_values(objects: list[etree._Element], tag: str, found: Inks) -> None:
    """Take objects for tints whose device values say that they are one spot colour at less than full tint."""
    tints: dict[str, list[InkMeasurement]] = {}
    full: dict[str, etree._Element] = {}
    for one in objects:
        spots = one.findall(f"{tag}DeviceColorValues/{tag}ColorCustom/{tag}SpotColor")
        name = spots[0].findtext(f"{tag}Name", "").strip() if len(spots) == 1 else ""
        try:
            tint = _tint(spots[0].findtext(f"{tag}Percentage"), spots[0]) if name else 1.0
        except _BrokenError as error:
            found.broken.append((name, str(error)))
            found.taken.add(one)
            continue
        if tint < 1.0:
            tints.setdefault(name, []).append(InkMeasurement(tint, one))
            found.taken.add(one)
        else:
            full.setdefault(name or (one.get("Name") or "").strip(), one)
    for name, measurements in tints.items():
        if name in found.measured:
            line = measurements[0].one.sourceline
            found.unread.append(f"line {line}: tints of “{name}” beside its characterisation are not read")
            continue
        if name in full:
            measurements.append(InkMeasurement(1.0, full[name]))
            found.taken.add(full[name])
        found.measured[name] = measurements


def _tint(text: str | None, place: etree._Element) -> float:
    """Share 0-1 of a tint in per cent."""
    try:
        level = float(text or "")
    except ValueError:
        level = -1.0
    if not 0.0 <= level <= 100.0:
        raise _BrokenError(f"line {place.sourceline}: its tint “{text or ''}” is no number from 0 to 100")
    return level / 100.0


def _shown(element: etree._Element) -> str:
    return f"“{etree.QName(element).localname}”"
