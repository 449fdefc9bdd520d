"""Looks at every point of every path of a PDF's first page through PDFium's own interface: a yardstick."""

from __future__ import annotations

import ctypes
import sys

import pypdfium2.raw as raw


def walk(name: str) -> int:
    """Number of points that the paths of the page hold."""
    raw.FPDF_InitLibrary()
    document = raw.FPDF_LoadDocument(name.encode(), None)
    page = raw.FPDF_LoadPage(document, 0)
    x, y = ctypes.c_float(), ctypes.c_float()
    points = 0
    for index in range(raw.FPDFPage_CountObjects(page)):
        one = raw.FPDFPage_GetObject(page, index)
        if raw.FPDFPageObj_GetType(one) != raw.FPDF_PAGEOBJ_PATH:
            continue
        for place in range(raw.FPDFPath_CountSegments(one)):
            segment = raw.FPDFPath_GetPathSegment(one, place)
            raw.FPDFPathSegment_GetType(segment)
            raw.FPDFPathSegment_GetClose(segment)
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            points += 1
    return points


if __name__ == "__main__":
    print(walk(sys.argv[1]))
