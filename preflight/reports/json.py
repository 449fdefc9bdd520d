"""The report as JSON: the types as they are, same input same bytes. Knows no wording."""

from __future__ import annotations

from typing import Any

import msgspec

from .report import Drawings, Renderer, Report

__all__ = ["JsonRenderer"]


class JsonRenderer(Renderer):
    """JSON in the order of the types' fields, indented by two, with a newline at the end."""

    format = "json"
    suffix = ".json"

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The report as UTF-8."""
        try:
            encoded = msgspec.json.encode(report)
        except UnicodeEncodeError:
            encoded = msgspec.json.encode(_encodable(msgspec.to_builtins(report)))
        return msgspec.json.format(encoded, indent=2) + b"\n"


def _encodable(value: Any) -> Any:
    # A path that is no valid UTF-8 on disk reaches Python with lone surrogates, which JSON in UTF-8 cannot hold. The report tells
    # paths in many places: of files, of what a baseline holds, of profiles.
    if isinstance(value, str):
        return value.encode("utf-8", "backslashreplace").decode()
    if isinstance(value, dict):
        return {_encodable(key): _encodable(one) for key, one in value.items()}
    return [_encodable(one) for one in value] if isinstance(value, list | tuple) else value
