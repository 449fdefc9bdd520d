"""Names of inks that have a meaning of their own in every file (ISO 32000-1, 8.6.6.4). Knows no paint."""

from __future__ import annotations

__all__ = ["ALL", "CMYK", "NONE", "PROCESS"]

ALL = "All"
"""The separation that prints on every plate."""

NONE = "None"
"""The separation that never shows."""

CMYK = ("Cyan", "Magenta", "Yellow", "Black")
"""The process inks of a press, in the order of their numbers in a colour."""

PROCESS = frozenset(CMYK)
