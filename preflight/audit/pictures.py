"""A small picture of a file in which something was found, for the overview. Knows no store."""

from __future__ import annotations

import base64
import io
from urllib.parse import unquote_to_bytes

from preflight.drawings import drawing
from preflight.engine import Checked
from preflight.reports.report import Drawing

__all__ = ["picture_of"]

_EDGE = 240
"""Pixels along the longer side."""

_MOST_BYTES = 500_000
"""An SVG that is larger is shown by its cut contours alone: browsers draw those in no time."""

_MOST_CONTOUR_BYTES = 64_000
"""Path data of cut contours."""


def picture_of(checked: Checked) -> tuple[str, bytes] | None:
    """Suffix and content of a picture of the first page with findings; None where there is none, or no picture of it."""
    number = next((page.number for page in checked.report.pages if page.findings), None)
    if number is None or checked.reader is None:
        return None
    job = next(job for job in checked.jobs if job.artwork.page.number == number)
    address = checked.reader.picture(checked.data, number, checked.limits)
    if address is None:
        return _contours(drawing(job, None))
    head, _, body = address.partition(",")
    data = base64.b64decode(body) if head.endswith(";base64") else unquote_to_bytes(body)
    if head.startswith("data:image/svg+xml"):
        return (".svg", data) if len(data) <= _MOST_BYTES else _contours(drawing(job, None))
    return ".png", _smaller(data)


def _smaller(data: bytes) -> bytes:
    from PIL import Image

    with Image.open(io.BytesIO(data)) as opened:
        opened.thumbnail((_EDGE, _EDGE))
        kept = io.BytesIO()
        opened.convert("RGB").quantize(64).save(kept, "PNG", optimize=True)
    return kept.getvalue()


def _contours(shown: Drawing) -> tuple[str, bytes] | None:
    """The cut contours of a page as a drawing; None where they are too many as well."""
    paths = [path for step in shown.steps for path in step.paths]
    width, height = shown.size_mm
    if sum(map(len, paths)) > _MOST_CONTOUR_BYTES or not width or not height:
        return None
    return ".svg", (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}"><path fill="none" stroke="#000" '
        f'stroke-width="{max(width, height) / _EDGE:g}" d="{"".join(paths)}"/></svg>'
    ).encode()
