"""What the page's script needs of each entry to draw it on the picture. Knows no HTML."""

from __future__ import annotations

from .sheets import Entry, Sheet

__all__ = ["places_of"]


def places_of(sheet: Sheet) -> list[dict[str, object]]:
    """Number, kind, places, box (mm) and what was measured of every entry that has a place, ready for JSON.

    ``distance`` and ``area`` are left out where there are none.
    """
    return [_place(entry) for group in sheet.groups for entry in group.entries if entry.point is not None]


def _place(entry: Entry) -> dict[str, object]:
    place: dict[str, object] = {
        "id": entry.id,
        "number": entry.number,
        "kind": entry.kind,
        "at": entry.point,
        "points": entry.points,
        "box": entry.box,
    }
    distance, area = entry.distance, entry.area
    if distance is not None:
        place["distance"] = {
            "ends": distance.ends,
            "value": distance.value,
            "asked": distance.asked,
            "reach": distance.reach,
        }
    if area is not None:
        place["area"] = {"shows": area.shows, "rings": area.rings}
    return place
