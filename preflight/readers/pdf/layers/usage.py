"""What a layer's usage dictionary recommends for viewing and printing. Knows no configuration beside the rules handed in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pikepdf

from preflight.artwork.model import NoteKind
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, name_text, number, text

__all__ = ["recommended"]

_STATES = {"Print": "/PrintState", "View": "/ViewState", "Export": "/ExportState"}


def recommended(group: Any, rules: Sequence[Any], context: Context) -> bool | None:
    """Whether usage switches a group on or off; None where it has nothing to say.

    Parameters
    ----------
    group : the optional content group.
    rules : the usage application dictionaries (ISO 32000-1, Table 103) of one event that name this group.

    Notes
    -----
    On only if every category that has something to say says on (ISO 32000-1, 8.11.4.4).
    """
    usage = entry(group, "/Usage")
    said: list[bool] = []
    for rule in rules:
        categories = entry(rule, "/Category")
        for category in categories if isinstance(categories, pikepdf.Array) else ():
            own = _of_category(name_text(category), usage, group, context)
            if own is not None:
                said.append(own)
    return all(said) if said else None


def _of_category(category: str | None, usage: Any, group: Any, context: Context) -> bool | None:
    own = entry(usage, f"/{category}")
    if category is None or own is None:
        return None
    if category in _STATES:
        state = name_text(entry(own, _STATES[category]))
        return None if state is None else state != "OFF"
    if category == "Zoom":
        least = number(entry(own, "/min")) or 0.0
        most = number(entry(own, "/max"))
        _say(context, group, "how far the page is zoomed in", "100 % is assumed")
        return least <= 1.0 and (most is None or most > 1.0)
    if category in ("Language", "User"):
        what = {"Language": "the reader's language", "User": "who reads it"}[category]
        _say(context, group, what, "that is left out")
    return None


def _say(context: Context, group: Any, what: str, instead: str) -> None:
    name = text(entry(group, "/Name")) or ""
    message = f"Whether the layer “{name}” shows hangs on {what}; {instead}."
    context.note(NoteKind.ASSUMED, "layer", message)
