"""What is wrong with a file of colours: a profile or a library. Knows no format."""

from __future__ import annotations

from pathlib import Path

__all__ = ["ColourFileError"]


class ColourFileError(ValueError):
    """A profile or library cannot be used.

    Parameters
    ----------
    file
    problem : what is wrong, where, and the mend where there is one
    """

    def __init__(self, file: Path, problem: str) -> None:
        super().__init__(f"{file}: {problem}")
        self.file, self.problem = file, problem
