"""What an object can be for. Knows neither artwork nor profile."""

from __future__ import annotations

from enum import StrEnum

import msgspec

__all__ = ["Assignment", "Role", "Route"]


class Role(StrEnum):
    """What an object of a job is for."""

    PRINT = "print"
    CUT = "cut"
    MARK = "mark"
    WHITE = "white"
    VARNISH = "varnish"
    INFORMATION = "information"
    IGNORED = "ignored"


class Route(StrEnum):
    """How a role was found, in the order in which they are tried."""

    METADATA = "ISO 19593-1 metadata"
    SPOT = "spot colour"
    LAYER = "layer name"
    OBJECT = "object name"
    CLASS = "class name"
    STROKE = "stroke colour"
    PLACE = "place"
    SHAPE = "shape"
    NONE = "nothing names it"


class Assignment(msgspec.Struct, frozen=True):
    """The role of one object and why.

    ``step`` is the processing step's name for cuts, else None. ``named`` is the name or colour as the file
    has it that decided, or what was seen where no name did; ``layer`` the name of the layer whose metadata or name it was.
    """

    role: Role
    step: str | None
    route: Route
    named: str | None = None
    layer: str | None = None

    @property
    def why(self) -> str:
        """The reason in words, for ``inspect``."""
        if self.route in (Route.PLACE, Route.SHAPE):
            return f"{self.route}: {self.named}"
        return str(self.route) if self.named is None else f"{self.route} “{self.named}”"
