"""Rules about the art: lettering, pictures, lines, and what is left lying about."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .text_live import LiveText

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (LiveText,)
