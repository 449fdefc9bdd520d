"""An example plug-in: one rule and one report. Registers them and imports neither until asked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pluggy

if TYPE_CHECKING:
    from preflight.reports.report import Renderer
    from preflight.rule import Rule

PREFLIGHT_API = 1
"""The version of the hooks this plug-in is written for; preflight refuses another."""

hookimpl = pluggy.HookimplMarker("preflight")


@hookimpl
def preflight_rules() -> Sequence[type[Rule]]:
    """The rule on the size of pieces."""
    from .piece_oversize import OversizePiece

    return [OversizePiece]


@hookimpl
def preflight_renderers() -> Sequence[type[Renderer]]:
    """The report as CSV."""
    from .findings_csv import CsvRenderer

    return [CsvRenderer]
