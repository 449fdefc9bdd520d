"""From names seen in good jobs to lines of a profile for a person to confirm. Knows no artwork."""

from __future__ import annotations

import json
from collections.abc import Sequence

import msgspec

from .names import normalised

__all__ = ["Observed", "Proposal", "propose"]


class Observed(msgspec.Struct, frozen=True):
    """A name or stroke colour seen in a job, how often, and what its objects look like.

    ``route`` says where the name stood (``layer name``, ``spot colour``, ``stroke colour`` …); ``looks_like``
    is ``cut``, ``mark``, ``white`` or ``varnish``; ``known_as`` the step or role the profile knows it by already, or None.
    ``stated`` is the cut step that the file itself states in its ISO 19593-1 metadata, or None.
    ``near`` is the name that this one may be a slip of, or None, and ``near_step`` the cut step that one stands for.
    """

    name: str
    route: str
    objects: int
    looks_like: str
    known_as: str | None = None
    stated: str | None = None
    near: str | None = None
    near_step: str | None = None


class Proposal(msgspec.Struct, frozen=True):
    """A table, a key, and the values proposed for it, each with the reason beside it."""

    table: str
    key: str
    values: tuple[tuple[str, str], ...]


def propose(seen: Sequence[Observed]) -> tuple[Proposal, ...]:
    """Lines that would name what was seen, each under the step its file states.

    Where the file states none, only a person can say which cut it is: that of the name it may be a slip of is proposed, else a
    kiss cut. Names the profile knows
    already are left out.
    """
    new: list[Observed] = []
    named: set[str] = set()
    for one in seen:
        # A profile gives each name one place: of a name seen twice, the first is proposed.
        if one.known_as is None and normalised(one.name) not in named:
            named.add(normalised(one.name))
            new.append(one)
    groups: dict[tuple[str, str], list[Observed]] = {}
    # Kiss cuts stand first, marks and inks last.
    for one in sorted(new, key=lambda one: (one.looks_like != "cut", one.stated is not None)):
        groups.setdefault(_place(one), []).append(one)
    return tuple(
        Proposal(table, key, tuple((one.name, _reason(one)) for one in found))
        for (table, key), found in groups.items()
    )


def _place(one: Observed) -> tuple[str, str]:
    """Table and key of the profile that the name belongs under."""
    if one.looks_like == "cut":
        key = "strokes" if one.route == "stroke colour" else "names"
        return f"steps.{one.stated or one.near_step or 'PartialCutting'}", key
    return ("marks", "names") if one.looks_like == "mark" else ("names", one.looks_like)


def _reason(one: Observed) -> str:
    said = ", as the metadata of its layer says" if one.stated else ""
    if one.near:
        # The name comes from a file and stands in a comment, which ends with the line.
        said += f"; perhaps a slip of {json.dumps(one.near, ensure_ascii=False)}: then correct the artwork and take it out"
    return f"{one.route}, {one.objects} {'object' if one.objects == 1 else 'objects'}{said}"
