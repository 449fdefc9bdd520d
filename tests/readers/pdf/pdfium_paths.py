"""What PDFium finds a page to draw: the tight box of every path, forms included, worked out from its own points."""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw

__all__ = ["path_boxes"]

Box = tuple[float, float, float, float]
Matrix = tuple[float, float, float, float, float, float]
Point = tuple[float, float]


def path_boxes(data: bytes, page: int = 0) -> list[Box]:
    """x0, y0, x1, y1 of each path of a page in paint order, in points of its user space, y up."""
    document = pdfium.PdfDocument(data)
    sheet = document[page]
    found = [
        _box(one, matrix)
        for index in range(raw.FPDFPage_CountObjects(sheet.raw))
        for one, matrix in _paths(raw.FPDFPage_GetObject(sheet.raw, index), (1, 0, 0, 1, 0, 0))
    ]
    sheet.close()
    document.close()
    return found


def _paths(one: object, outer: Matrix) -> Iterator[tuple[object, Matrix]]:
    """The paths of an object, with the matrix from each one's space to the page's."""
    kind = raw.FPDFPageObj_GetType(one)
    held = raw.FS_MATRIX()
    raw.FPDFPageObj_GetMatrix(one, held)
    matrix = _product(outer, (held.a, held.b, held.c, held.d, held.e, held.f))
    if kind == raw.FPDF_PAGEOBJ_PATH:
        yield one, matrix
    elif kind == raw.FPDF_PAGEOBJ_FORM:
        for index in range(raw.FPDFFormObj_CountObjects(one)):
            yield from _paths(raw.FPDFFormObj_GetObject(one, index), matrix)


def _box(one: object, matrix: Matrix) -> Box:
    points: list[Point] = []
    waiting: list[Point] = []
    x, y = ctypes.c_float(), ctypes.c_float()
    last: Point = (math.nan, math.nan)
    for index in range(raw.FPDFPath_CountSegments(one)):
        segment = raw.FPDFPath_GetPathSegment(one, index)
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        point = _mapped(matrix, x.value, y.value)
        if raw.FPDFPathSegment_GetType(segment) != raw.FPDF_SEGMENT_BEZIERTO:
            points.append(point)
            last = point
            continue
        waiting.append(point)
        if len(waiting) == 3:
            points += _extremes(last, *waiting)
            last = point
            waiting = []
    across, up = zip(*points, strict=True)
    return min(across), min(up), max(across), max(up)


def _extremes(p0: Point, p1: Point, p2: Point, p3: Point) -> list[Point]:
    """The end of a cubic and the points where it runs level or upright, by the roots of its derivatives."""
    found = [p3]
    for axis in (0, 1):
        a, b, c, d = p0[axis], p1[axis], p2[axis], p3[axis]
        slope = [d - a + 3 * (b - c), 2 * (a - 2 * b + c), b - a]
        for root in np.roots(slope):
            if abs(root.imag) < 1e-9 and 0 < root.real < 1:
                t, s = root.real, 1 - root.real
                weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
                where = [
                    sum(w * p[side] for w, p in zip(weights, (p0, p1, p2, p3), strict=True))
                    for side in (0, 1)
                ]
                found.append((where[0], where[1]))
    return found


def _product(outer: Matrix, inner: Matrix) -> Matrix:
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f


def _mapped(matrix: Matrix, x: float, y: float) -> Point:
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f
