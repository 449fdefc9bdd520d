"""The sheet's colours and named colours. Plain screen values; no library's and no machine's names."""

from __future__ import annotations

from demo_sheet.sheet import Swatch

INK = "#0f2742"
NAVY = "#173f63"
SEA = "#2a7593"
AQUA = "#6fb3bf"
SKY = "#cfe6ea"
CREAM = "#fbf3e2"
SAND = "#ecd9b4"
CORAL = "#e2603f"
BRICK = "#b8432f"
SUN = "#f3b63f"
PEACH = "#f6c79b"
SAGE = "#7fa383"
MOSS = "#4c7459"
BERRY = "#a8385a"
BLUSH = "#f0c9c8"
COCOA = "#6b4431"
STEEL = "#9fb0b8"
PAPER = "#ffffff"

KISS_CUT = Swatch("kiss-cut", "Kiss Cut", "#6f3fc0")
THROUGH_CUT = Swatch("through-cut", "Through Cut", "#0b7a4b")
WHITE = Swatch("white", "White", "#ffffff")
