"""The report as JSON: the types as they are, same input same bytes. Knows no wording."""

from __future__ import annotations

import msgspec

from .encoding import as_json
from .report import Drawings, Renderer, Report

__all__ = ["JsonRenderer"]


class JsonRenderer(Renderer):
    """JSON in the order of the types' fields, indented by two, with a newline at the end."""

    format = "json"
    suffix = ".json"

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The report as UTF-8."""
        return msgspec.json.format(as_json(report), indent=2) + b"\n"
