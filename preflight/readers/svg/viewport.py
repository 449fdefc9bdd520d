"""From a viewBox to a viewport. Knows no element; works on numbers and the attribute's text."""

from __future__ import annotations

from typing import NamedTuple

from preflight.readers.svg.units import Matrix, parse_numbers

__all__ = ["ViewBox", "parse_view_box", "view_box_matrix"]


class ViewBox(NamedTuple):
    """Left, top, width and height in user units."""

    x: float
    y: float
    width: float
    height: float


def parse_view_box(text: str | None) -> ViewBox | None:
    """The viewBox; None where there is none, it is malformed, or has a negative side.

    A box with a side of nothing is returned: what it holds is not drawn, and the caller says so.
    """
    if text is None:
        return None
    numbers, complete = parse_numbers(text)
    if len(numbers) != 4 or not complete or numbers[2] < 0 or numbers[3] < 0:
        return None
    return ViewBox(*numbers)


def view_box_matrix(box: ViewBox, width: float, height: float, fitting: str | None) -> Matrix:
    """The matrix that lays ``box`` into a viewport at the origin.

    Parameters
    ----------
    width, height : of the viewport, user units.
    fitting : text of ``preserveAspectRatio``, or None.
    """
    scale_x = width / box.width
    scale_y = height / box.height
    align, slice_ = _fitting(fitting)
    if align == "none":
        return (scale_x, 0.0, 0.0, scale_y, -box.x * scale_x, -box.y * scale_y)
    scale = max(scale_x, scale_y) if slice_ else min(scale_x, scale_y)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    left = (width - box.width * scale) * share[align[1:4]]
    top = (height - box.height * scale) * share[align[5:8]]
    return (scale, 0.0, 0.0, scale, left - box.x * scale, top - box.y * scale)


_ALIGNMENTS = {f"x{x}Y{y}" for x in ("Min", "Mid", "Max") for y in ("Min", "Mid", "Max")} | {"none"}


def _fitting(text: str | None) -> tuple[str, bool]:
    words = (text or "").split()
    if words and words[0] == "defer":
        words = words[1:]
    if not words or words[0] not in _ALIGNMENTS or (len(words) > 1 and words[1] not in ("meet", "slice")):
        return "xMidYMid", False
    return words[0], len(words) > 1 and words[1] == "slice"
