"""A tiny sheet with the findings it must give, and the inks and shapes that many of them share."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from rule_sheets.tiny_pdf import Layer, Process, Separation, Shape, TinySheet, pdf_bytes, rectangle

KISS = Separation("Kiss Cut", (0, 0.8, 0.2, 0))
TEA = Separation("Tea Room Red", (0, 0.9, 0.7, 0.1))
SEA = Process((0.9, 0.4, 0.1, 0.2))
"""CMYK of the sea in the ferry company's art."""

CUT = rectangle(10, 10, 30, 20)
CUT_BOX = (10, 10, 40, 30)
INSIDE = rectangle(14, 14, 6, 6)
"""A piece of art inside the cut, and well away from it."""

CUT_LINE = ("contours", "steps", "overprint-lost", "reading")
"""The rules about the cut line itself, which judge each other's cases too; distances are judged apart."""


@dataclass(frozen=True)
class Case:
    """One file of ``fixtures/rules``: its rule, its name, what it holds, what must be found, by which rules."""

    rule: str
    name: str
    title: str
    items: tuple[Shape | Layer, ...]
    findings: tuple[dict[str, Any], ...] = ()
    judged_by: tuple[str, ...] = CUT_LINE
    trim: tuple[float, float, float, float] | None = None

    def files(self) -> dict[str, bytes]:
        """The page and the expectation by their path inside ``fixtures/rules``."""
        stem = f"{self.rule}/{self.name}"
        told = (
            json.dumps({"findings": list(self.findings), "judged_by": list(self.judged_by)}, indent=1) + "\n"
        )
        return {
            f"{stem}.pdf": pdf_bytes(TinySheet(self.title, self.items, self.trim)),
            f"{stem}.expected.json": told.encode(),
        }


def found(
    rule: str, box: tuple[float, ...] | None, value: float | None = None, unit: str = "mm", **more: Any
) -> dict[str, Any]:
    """A finding that is expected; without a value none must be measured."""
    measured = None if value is None else {"value": value, "unit": unit}
    return {"rule": rule, "bounds_mm": None if box is None else list(box), "measured": measured, **more}


def cut(path: str = CUT, ink: Separation | Process = KISS, **more: Any) -> Shape:
    """A hairline for the knife, overprinting."""
    return Shape(path, stroke=ink, **{"over": True, "mode": 1, **more})


def kiss_layer(*shapes: Shape, **more: Any) -> Layer:
    """The layer of the kiss cut, with its metadata."""
    return Layer("Kiss cut", shapes or (cut(),), step=("Structural", "PartialCutting"), **more)


ART = Layer("Print", (Shape(INSIDE, fill=SEA),))
