"""How much work a document asks for, counted; so that an answer hangs on the file and not on the machine. Knows no operator."""

from __future__ import annotations

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits

__all__ = ["Workload"]


class Workload:
    """Counts steps of reading over all pages of a document.

    A step is about what one operator costs, some microseconds. What costs more says so when it is asked for.
    """

    def __init__(self, limits: Limits) -> None:
        self._limit = limits.operators
        self._taken = 0

    def take(self, steps: int) -> None:
        """Count some more steps, before they are done.

        Raises
        ------
        preflight.readers.errors.Unreadable
            They come to more than the limit.
        """
        self._taken += steps
        if self._taken > self._limit:
            raise Unreadable(
                f"The content takes more than the limit of {self._limit:,} operators to draw",
                None,
                "Simplify the artwork, split the file, or raise [limits] operators in the profile.",
            )
