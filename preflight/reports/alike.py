"""What was not checked, gathered by likeness, so that one damaged file does not bury its findings. Knows no wording."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec

from .report import NotChecked
from .words import KIND_WORDS

__all__ = ["MESSAGES_SHOWN", "Alike", "alike"]

MESSAGES_SHOWN = 3
"""How many messages about one subject that was not checked are shown for each page; the rest are counted."""


class Alike(msgspec.Struct, frozen=True):
    """Entries of one kind, at one subject, with one message.

    ``others`` where they differ in their messages and are only counted: those beyond the number asked for.
    """

    entries: tuple[NotChecked, ...]
    others: bool = False


def alike(entries: Sequence[NotChecked], messages: int) -> Iterator[Alike]:
    """The entries gathered, the gravest kind first; none is lost.

    Parameters
    ----------
    messages : how many messages of one subject stand for themselves, those met most often first; the others of that
        subject come together.
    """
    by_subject: dict[tuple[str, str], dict[str, list[NotChecked]]] = {}
    for entry in entries:
        same = by_subject.setdefault((entry.kind, entry.what), {})
        same.setdefault(entry.message, []).append(entry)
    gravest: list[str] = list(KIND_WORDS)
    for _, by_message in sorted(by_subject.items(), key=lambda item: (gravest.index(item[0][0]), item[0][1])):
        ordered = sorted(by_message.values(), key=len, reverse=True)  # stable: as met, where as many
        for same_message in ordered[:messages]:
            yield Alike(tuple(same_message))
        others = tuple(entry for same_message in ordered[messages:] for entry in same_message)
        if others:
            yield Alike(others, others=True)
