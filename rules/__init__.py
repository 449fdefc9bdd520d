"""The built-in rules, brought in through the same hook as a stranger's. Knows no engine, reader or report."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pluggy

if TYPE_CHECKING:
    from preflight.rule import Rule

__all__ = ["PREFLIGHT_API", "preflight_rules"]

PREFLIGHT_API = 1
"""The version of the hooks these rules are written for."""

hookimpl = pluggy.HookimplMarker("preflight")


@hookimpl
def preflight_rules() -> Sequence[type[Rule]]:
    """Every built-in rule. Their modules are imported here and not at start-up."""
    from . import clearances, colours, content, contours, layout, marks, reading, steps

    return [
        *contours.rules(),
        *clearances.rules(),
        *steps.rules(),
        *colours.rules(),
        *marks.rules(),
        *content.rules(),
        *layout.rules(),
        *reading.rules(),
    ]
