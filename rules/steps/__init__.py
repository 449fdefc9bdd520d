"""Rules about processing steps: whether each cut is named, shown, painted and placed as a cut should be."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .step_hidden import HiddenStep
from .step_missing import MissingStep
from .step_misspelt import MisspeltStep
from .step_order import StepOrder
from .step_painted import PaintedStep
from .step_printed import PrintedStep
from .step_unnamed import UnnamedStep

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (HiddenStep, MisspeltStep, MissingStep, StepOrder, PaintedStep, PrintedStep, UnnamedStep)
