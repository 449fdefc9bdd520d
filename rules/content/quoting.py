"""How lettering is quoted in findings. Knows no rule."""

from __future__ import annotations

__all__ = ["quoted"]

_LONGEST = 40
"""Characters: enough to know the line by."""


def quoted(text: str | None) -> str:
    """Lettering in quotation marks, shortened; ``Text`` where its characters are not known."""
    words = " ".join((text or "").split())
    if not words:
        return "Text"
    return f"“{words if len(words) <= _LONGEST else words[: _LONGEST - 1].rstrip() + '…'}”"
