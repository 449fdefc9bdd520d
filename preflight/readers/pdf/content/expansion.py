"""Foresees how many forms a page will draw, so that an explosion is refused before it is run. Draws nothing."""

from __future__ import annotations

from collections.abc import Hashable, Mapping

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits

__all__ = ["Expansion"]


class Expansion:
    """Counts forms drawn inside one page.

    The first time a form has been drawn, it is known how many it draws inside itself; how often those it lies in
    draw it is written in their content, which was read before. Their product says where this leads.
    """

    def __init__(self, limits: Limits, deadline: Deadline, page: int) -> None:
        self._limits = limits
        self._deadline = deadline
        self._page = page
        self._count = 0
        self._open: list[tuple[int, int]] = []
        self._foreseen: set[Hashable] = set()

    def enter(self, draws: Mapping[str, int], name: str) -> None:
        """Count one more form.

        Parameters
        ----------
        draws : how often the content that draws it draws each name; empty where that is not known.
        name : the form's name in that content.

        Raises
        ------
        Unreadable
            There are more than the limit, or reading takes too long.
        """
        self._open.append((self._count, draws.get(name, 1)))
        self._count += 1
        if self._count > self._limits.use_expansion:
            raise self._exploded()
        self._deadline.check()

    def leave(self, key: Hashable | None) -> None:
        """The form entered last is done.

        Parameters
        ----------
        key : what tells the form from others, or None where nothing does.

        Raises
        ------
        Unreadable
            The forms it lies in will come to more than the limit.
        """
        before, times = self._open.pop()
        if key is None or key in self._foreseen:
            return
        self._foreseen.add(key)
        total = (self._count - before) * times
        for _, more in reversed(self._open):
            total = (total + 1) * more
        if total > self._limits.use_expansion:
            raise self._exploded()

    def _exploded(self) -> Unreadable:
        return Unreadable(
            f"Forms drawn inside the page come to more than the limit of {self._limits.use_expansion:,}",
            f"page {self._page}",
            "Simplify the artwork, or raise [limits] use_expansion in the profile.",
        )
