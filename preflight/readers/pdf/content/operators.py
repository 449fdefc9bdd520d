"""Every operator of a content stream by name (ISO 32000-1, Annex A). Knows where they are kept, not what they do."""

from __future__ import annotations

from preflight.readers.pdf.content import (
    colour_operators,
    content_operators,
    object_operators,
    path_operators,
    state_operators,
    text_operators,
)
from preflight.readers.pdf.content.operator import Operator

__all__ = ["OPERATORS"]

OPERATORS: dict[str, Operator] = {
    **path_operators.OPERATORS,
    **state_operators.OPERATORS,
    **colour_operators.OPERATORS,
    **content_operators.OPERATORS,
    **object_operators.OPERATORS,
    **text_operators.OPERATORS,
}
