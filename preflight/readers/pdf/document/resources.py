"""Named resources of a content stream: where a name leads, the page's standing in for what a form lacks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pikepdf

from preflight.readers.pdf.document.values import entry, key_text

__all__ = ["Resources"]


class Resources:
    """One resource dictionary (`pikepdf.Dictionary` or None) and the one behind it.

    ISO 32000-1, 7.8.3: a form without resources of its own uses those of the page it is drawn on. Viewers look
    there too for a single name that the form's own dictionary lacks, so this does, and says so.

    Parameters
    ----------
    say_borrowed : told the category and the name of what is found in the dictionary behind only.
    """

    def __init__(
        self,
        dictionary: Any,
        behind: Resources | None = None,
        say_borrowed: Callable[[str, str], None] | None = None,
    ) -> None:
        self.dictionary = dictionary
        self.behind = behind
        self._say_borrowed = say_borrowed
        self._found: dict[tuple[str, str], Any] = {}
        self.kept: dict[tuple[str, str], Any] = {}
        """What was made of an entry, by category and name, so that it need not be made again."""

    def find(self, category: str, name: str) -> Any:
        """What a name stands for (`pikepdf.Object`), or None.

        Parameters
        ----------
        category : without a slash: ``ExtGState``, ``ColorSpace``, ``Pattern``, ``Shading``, ``XObject``, ``Font``,
            ``Properties``.
        name : without a slash.
        """
        key = (category, name)
        if key not in self._found:
            found = self._own(category, name)
            if found is None and self.behind is not None:
                found = self.behind.find(category, name)
                if found is not None and self._say_borrowed is not None:
                    self._say_borrowed(category, name)
            self._found[key] = found
        return self._found[key]

    def _own(self, category: str, name: str) -> Any:
        entries = entry(self.dictionary, f"/{category}")
        found = entry(entries, f"/{name}")
        if found is None and not name.isascii() and isinstance(entries, pikepdf.Dictionary):
            # Its bytes may be no UTF-8: such a name is read as Latin-1, in the content and in the dictionary alike.
            found = next((value for key, value in entries.items() if key_text(key) == name), None)
        return found
