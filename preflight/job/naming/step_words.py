"""Processing steps in plain trade words, alike in findings and reports. Knows no artwork."""

from __future__ import annotations

__all__ = ["step_words"]

STEP_WORDS = {
    "Cutting": "Through cut",
    "PartialCutting": "Kiss cut",
    "ReversePartialCutting": "Kiss cut from the back",
    "Perforating": "Perforation",
    "Creasing": "Crease",
    "ReverseCreasing": "Crease from the back",
    "Folding": "Fold",
    "Drilling": "Drilled hole",
    "Punching": "Punched hole",
}
"""Plain trade words for the type names of ISO 19593-1 (the mapping is ours); other names are told apart at capitals."""


def step_words(step: str) -> str:
    """The step in plain trade words; ``CuttingCreasing`` and the like become ``Cutting creasing``."""
    if step in STEP_WORDS:
        return STEP_WORDS[step]
    if not step.isalpha():
        return step
    parted = "".join(
        f" {letter}" if letter.isupper() and before.islower() else letter
        for before, letter in zip(" " + step, step, strict=False)
    )
    return parted.capitalize()
