"""Random strokes, and what renderers make of them and of our outlines of them, for comparison pixel by pixel."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import shapely
from numpy.typing import NDArray
from photographs import photographed

from preflight.geometry.outlines import Outlines
from preflight.geometry.pathdata import parse
from preflight.geometry.strokes import stroke_regions

SIDE, DENSITY = 100, 8
"""Units along each side of a drawing, and pixels to the unit."""

BOTH = {"width": 2 * SIDE * DENSITY, "height": SIDE * DENSITY}
"""Window that shows two drawings side by side."""

CAPS, JOINS = ("butt", "round", "square"), ("miter", "round", "bevel")


@dataclass(frozen=True)
class Drawn:
    """A path with everything that decides its stroke."""

    data: str
    width: float
    cap: str
    join: str
    miter_limit: float
    dash: tuple[float, ...]
    offset: float

    @property
    def outlines(self) -> Outlines:
        return parse([self.data]).outlines

    @property
    def region(self) -> Any:
        return stroke_regions(
            self.outlines,
            np.array([self.width]),
            [self.cap],
            [self.join],
            np.array([self.miter_limit]),
            [self.dash],
            np.array([self.offset]),
        )[0]


def drawn(seed: int, closed_dashes: bool) -> Drawn:
    """A random stroke: corners as sharp as you like, curves no tighter than half the width.

    Where a curve is tighter than that renderers differ from each other: one rounds, one cuts off, one leaves spikes and holes.
    """
    pick = random.Random(seed)  # noqa: S311 -- no secret hangs on it
    at = complex(pick.uniform(35, 65), pick.uniform(35, 65))
    data = f"M{at.real:.3f} {at.imag:.3f}"
    for _ in range(pick.randint(2, 4)):
        to = complex(pick.uniform(15, 85), pick.uniform(15, 85))
        while abs(to - at) < 25:
            to = complex(pick.uniform(15, 85), pick.uniform(15, 85))
        if pick.random() < 0.4:
            data += f"L{to.real:.3f} {to.imag:.3f}"
        else:
            turn = [complex(np.exp(1j * pick.uniform(-0.9, 0.9))) for _ in range(2)]
            first, second = at + (to - at) / 3 * turn[0], to - (to - at) / 3 * turn[1]
            data += f"C{first.real:.3f} {first.imag:.3f} {second.real:.3f} {second.imag:.3f} {to.real:.3f} {to.imag:.3f}"
        at = to
    dash: tuple[float, ...] = pick.choice([(), (), (7, 3), (1, 5, 3, 2), (12.5,), (4, 6)])
    closed = pick.random() < 0.4 and (closed_dashes or not dash)
    return Drawn(
        data + ("z" if closed else ""),
        pick.choice([0.5, 1, 2, 4]),
        pick.choice(CAPS),
        pick.choice(JOINS),
        pick.choice([1.5, 4, 10]),
        dash,
        pick.choice([0, 2.5, 33, -4]),
    )


def off(one: NDArray[np.float64], other: NDArray[np.float64], region: Any) -> tuple[float, int]:
    """Mean difference of two pictures along the border of a region, in pixels; and pixels that differ by more than half."""
    difference = np.abs(one - other)
    return float(difference.sum() / (region.length * DENSITY)), int((difference > 0.6).sum())


def as_svg(what: Drawn) -> str:
    dash = " ".join(map(str, what.dash)) or "none"
    return (
        f'<path d="{what.data}" fill="none" stroke="#000" stroke-width="{what.width}" stroke-linecap="{what.cap}" '
        f'stroke-linejoin="{what.join}" stroke-miterlimit="{what.miter_limit}" stroke-dasharray="{dash}" '
        f'stroke-dashoffset="{what.offset}"/>'
    )


def region_as_svg(region: Any) -> str:
    data = "".join(
        "M" + "L".join(f"{x:.4f} {y:.4f}" for x, y in np.asarray(ring.coords)[:-1]) + "z"
        for ring in rings(region)
    )
    return f'<path d="{data}" fill-rule="evenodd"/>'


def as_pdf(what: Drawn) -> str:
    outlines = what.outlines
    lines = [f"{what.width} w {CAPS.index(what.cap)} J {JOINS.index(what.join)} j {what.miter_limit} M"]
    period = sum(what.dash) * (1 + len(what.dash) % 2) or 1.0
    lines.append(f"[{' '.join(map(str, what.dash))}] {what.offset % period} d")
    lines.append("{:.4f} {:.4f} m".format(*outlines.starts[0]))
    for controls in outlines.segments:
        lines.append("{:.4f} {:.4f} {:.4f} {:.4f} {:.4f} {:.4f} c".format(*controls[1:].ravel()))
    return "\n".join([*lines, "h S" if outlines.closed[0] else "S"])


def region_as_pdf(region: Any) -> str:
    lines = []
    for ring in rings(region):
        first, *rest = np.asarray(ring.coords)[:-1].tolist()
        lines.append("{:.4f} {:.4f} m".format(*first))
        lines += ["{:.4f} {:.4f} l".format(*point) for point in rest]
        lines.append("h")
    return "\n".join([*lines, "f*"])


def rings(region: Any) -> list[Any]:
    polygons = [part for part in shapely.get_parts(region) if part.geom_type == "Polygon"]
    return [ring for polygon in polygons for ring in (polygon.exterior, *polygon.interiors)]


def seen_by_pdfium(content: str) -> NDArray[np.float64]:
    """How dark each pixel is, 0 to 1."""
    body = content.encode()
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %d %d] /Contents 4 0 R >>" % (SIDE, SIDE),
        b"<< /Length %d >> stream\n%s\nendstream" % (len(body), body),
    ]
    written = b"".join(b"%d 0 obj\n%s\nendobj\n" % pair for pair in enumerate(objects, 1))
    document = pdfium.PdfDocument(b"%PDF-1.7\n" + written + b"trailer << /Root 1 0 R >>\n")
    page = document[0]
    bitmap = page.render(scale=DENSITY, grayscale=True)
    pixels = 1.0 - bitmap.to_numpy().squeeze() / 255.0
    bitmap.close()
    page.close()
    document.close()
    return np.asarray(pixels)


def seen_by_chromium(page: Any, one: str, other: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """How dark each pixel of two drawings is, 0 to 1; the page has a window of size `BOTH`."""
    size = SIDE * DENSITY
    head = f'<svg xmlns="http://www.w3.org/2000/svg" style="float:left" width="{size}" height="{size}" viewBox="0 0 {SIDE} {SIDE}">'
    page.set_content(f'<body style="margin:0">{head}{one}</svg>{head}{other}</svg>')
    dark = 1.0 - photographed(page).mean(axis=2) / 255.0
    return dark[:, :size], dark[:, size:]
