"""From names seen in good jobs to lines of a profile for a person to confirm. Knows no artwork."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from .names import normalised

__all__ = ["Observed", "Proposal", "propose"]


class Observed(msgspec.Struct, frozen=True):
    """A name or stroke colour seen in a job, how often, and what its objects look like.

    ``route`` says where the name stood (``layer name``, ``spot colour``, ``stroke colour`` …); ``looks_like``
    is ``cut``, ``mark`` or ``white``; ``known_as`` the step or role the profile knows it by already, or None.
    """

    name: str
    route: str
    objects: int
    looks_like: str
    known_as: str | None = None


class Proposal(msgspec.Struct, frozen=True):
    """A table, a key, and the values proposed for it, each with the reason beside it."""

    table: str
    key: str
    values: tuple[tuple[str, str], ...]


def propose(seen: Sequence[Observed]) -> tuple[Proposal, ...]:
    """Lines that would name what was seen. Which cut it is, only a person can say: kiss cuts are proposed.

    Names the profile knows already are left out.
    """
    new: list[Observed] = []
    named: set[str] = set()
    for one in seen:
        # A profile gives each name one place: of a name seen twice, the first is proposed.
        if one.known_as is None and normalised(one.name) not in named:
            named.add(normalised(one.name))
            new.append(one)
    groups = (
        (
            "steps.PartialCutting",
            "names",
            [one for one in new if one.looks_like == "cut" and one.route != "stroke colour"],
        ),
        (
            "steps.PartialCutting",
            "strokes",
            [one for one in new if one.looks_like == "cut" and one.route == "stroke colour"],
        ),
        ("marks", "names", [one for one in new if one.looks_like == "mark"]),
        ("names", "white", [one for one in new if one.looks_like == "white"]),
    )
    return tuple(
        Proposal(table, key, tuple((one.name, f"{one.route}, {one.objects} objects") for one in found))
        for table, key, found in groups
        if found
    )
