"""JSON Schema of the report, made from its types. Knows no report."""

from __future__ import annotations

from typing import Any

import msgspec

from .report import Report

__all__ = ["report_schema"]


def report_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) that every report in JSON satisfies."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "artwork-preflight report",
        **msgspec.json.schema(Report),
    }
