"""Rules about the art: lettering, pictures, lines, and what is left lying about."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .image_absent import AbsentImage
from .image_coarse import CoarseImage
from .line_thin import ThinStroke
from .object_stray import StrayObject
from .text_live import LiveText
from .text_small import SmallText

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (LiveText, SmallText, AbsentImage, CoarseImage, ThinStroke, StrayObject)
