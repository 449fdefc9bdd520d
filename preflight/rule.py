"""What a rule author sees: Rule, Settings, Finding, Level. Knows the job, no file format and no report."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING, Any, ClassVar, Literal, Protocol

import msgspec
import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.job.roles import Role
from preflight.profile.errors import SettingError
from preflight.profile.settings import (
    Basis,
    Count,
    Degrees,
    Setting,
    SettingsTable,
    choice,
    colour_difference,
    count,
    degrees,
    flag,
    mm,
    names,
    points,
    ppi,
    ratio,
    square_mm,
)
from preflight.profile.units import Millimetres

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = [
    "Basis",
    "Count",
    "Degrees",
    "Finding",
    "Group",
    "Known",
    "Level",
    "Measured",
    "Millimetres",
    "ObjectReference",
    "Rule",
    "Setting",
    "SettingError",
    "choice",
    "colour_difference",
    "count",
    "degrees",
    "exceeds",
    "falls_short",
    "figure",
    "flag",
    "mm",
    "names",
    "page_sections",
    "points",
    "ppi",
    "ratio",
    "reference_of",
    "rounded_box",
    "square_mm",
]

HEADINGS = ("What it finds", "Why it matters", "Known limits", "How to mend it")
"""The headings every rule's page must have, in this order."""

LENGTH_NOISE = 1e-6
"""mm. Two lengths closer than this are equal: far below any cutter's step, far above float64 noise on a 50 m roll."""


def falls_short(value: float, limit: float, noise: float = LENGTH_NOISE) -> bool:
    """Whether a measured value is below its limit, arithmetic noise aside."""
    return value < limit - noise


def exceeds(value: float, limit: float, noise: float = LENGTH_NOISE) -> bool:
    """Whether a measured value is above its limit, arithmetic noise aside."""
    return value > limit + noise


class Level(StrEnum):
    """How bad a finding is; the words of SARIF 2.1.0."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the worst level, rising."""
        return list(Level).index(self)


class Group(StrEnum):
    """Groups of rules, as ``explain`` lists them."""

    CONTOURS = "contours"
    CLEARANCES = "clearances"
    STEPS = "steps"
    COLOURS = "colours"
    MARKS = "marks"
    CONTENT = "content"
    LAYOUT = "layout"
    READING = "reading"
    HOUSE = "house"
    """Rules of a plug-in or of the shop's own."""


class Measured(msgspec.Struct, frozen=True):
    """What was measured against which limit, in one unit (``mm``, ``degrees``, ``nodes`` …)."""

    value: float
    limit: float | None
    unit: str


Known = Literal["baseline", "earlier version"]
"""Where a finding was known from before it was found."""


class ObjectReference(msgspec.Struct, frozen=True):
    """The object a finding is about: its ``ref`` in the file, its layer's name, its kind, its line if any.

    ``drawn_at`` is the line of what draws it, such as a ``<use>``, where that is another one than its own.
    """

    ref: str
    layer: str | None
    kind: str
    line: int | None = None
    drawn_at: int | None = None


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One fault, as plain data. Lengths in mm on the page, y down.

    ``bounds_mm`` is tight around the fault, not around the object. ``area_mm`` are the rings (even-odd) of an area that belongs to
    it and is worth seeing, and ``area_shows`` says what it is: ``missing bleed``, ``quiet zone of the mark``. ``subject`` is the name of
    what it is about, where that tells it from others better than its place. Where ``points_mm`` are
    two points as far apart as ``measured`` says in mm, that is where it was measured. ``fix`` says whether a mend exists:
    ``safe``, for ``review``, or none. ``fingerprint`` is filled in by the engine. ``waived`` is the reason why it is in order,
    ``waived_in`` says where that stands, ``known`` tells what held it before this run. Where a rule broke down the object is of the
    kind ``rule``, and its ``ref`` is the rule's id.
    """

    rule: str
    level: Level
    message: str
    hint: str
    page: int = 1
    bounds_mm: tuple[float, float, float, float] | None = None
    points_mm: tuple[tuple[float, float], ...] = ()
    area_mm: tuple[tuple[tuple[float, float], ...], ...] = ()
    area_shows: str | None = None
    subject: str | None = None
    objects: tuple[ObjectReference, ...] = ()
    measured: Measured | None = None
    fix: Literal["safe", "review"] | None = None
    fingerprint: str = ""
    waived: str | None = None
    waived_in: Literal["artwork", "waiver file"] | None = None
    known: Known | None = None

    @property
    def open(self) -> bool:
        """Whether it counts: it is neither waived nor known from before."""
        return self.waived is None and self.known is None


class Referable(Protocol):
    """Anything a finding can be about: cut contours and objects of a Job."""

    @property
    def reference(self) -> ObjectReferenceLike:
        """Where it stands in the file."""
        ...


class ObjectReferenceLike(Protocol):
    """The fields a reference is made from."""

    @property
    def ref(self) -> str: ...
    @property
    def layer(self) -> str | None: ...
    @property
    def kind(self) -> str: ...
    @property
    def line(self) -> int | None: ...
    @property
    def drawn_at(self) -> int | None: ...


class Rule:
    """One check. Subclass it in a module of its own.

    The class docstring is the rule's public page: a first line that says what it finds, then the headings
    *What it finds*, *Why it matters*, *Known limits*, *How to mend it*. ``{name}`` in the text is replaced by
    the setting of that name with its unit.

    Class attributes
    ----------------
    id : what was found, in words joined by hyphens; never renamed without a redirect.
    group, level : group of the rule and its level unless the profile says otherwise.
    needs : the role without which the rule has nothing to judge, or None to run always.
    by_engine : whether the engine itself reports what the page tells of, always and at that level.
    """

    id: ClassVar[str]
    group: ClassVar[Group] = Group.HOUSE
    level: ClassVar[Level] = Level.WARNING
    needs: ClassVar[Role | None] = None
    by_engine: ClassVar[bool] = False

    class Settings(SettingsTable):
        """A rule without settings."""

    def __init__(self, settings: Any = None, level: Level | None = None) -> None:
        self.settings: Any = settings if settings is not None else self.Settings()
        self.at_level = level or type(self).level

    def check(self, job: Job) -> Iterable[Finding]:
        """Yield a finding for each fault in the job.

        Geometry, roles and anything expensive come ready from ``job``; a rule holds no state between calls.
        """
        raise NotImplementedError

    def finding(
        self,
        message: str,
        hint: str,
        *,
        of: Referable | Sequence[Referable] = (),
        at: ArrayLike | None = None,
        bounds: ArrayLike | None = None,
        area: Sequence[ArrayLike] = (),
        area_shows: str | None = None,
        subject: str | None = None,
        measured: float | None = None,
        limit: float | None = None,
        unit: str = "mm",
        fix: Literal["safe", "review"] | None = None,
    ) -> Finding:
        """Make a finding of this rule.

        Parameters
        ----------
        message, hint : what is wrong with its measure; what to do about it. One sentence each.
        of : the contours or objects it is about.
        at : (k, 2) mm, the places, worst first.
        bounds : (4,) mm; taken from ``at`` where left out.
        area : rings of (k, 2) mm, even-odd: an area that belongs to the fault and is worth seeing.
        area_shows : what that area is, in a few words without an article: the legend beside it.
        subject : what it is about, where its place moves as other objects come and go: the name of a colour, an edge of the page.
        measured, limit, unit : the value found, the value asked for, their unit.
        fix : whether a mend exists.
        """
        points = np.empty((0, 2)) if at is None else np.atleast_2d(np.asarray(at, float))
        if bounds is None and len(points):
            bounds = np.concatenate([points.min(axis=0), points.max(axis=0)])
        return Finding(
            rule=self.id,
            level=self.at_level,
            message=message,
            hint=hint,
            bounds_mm=None if bounds is None else rounded_box(bounds),
            points_mm=_places(points),
            area_mm=tuple(_places(np.asarray(ring, float)) for ring in area),
            area_shows=area_shows if len(area) else None,
            subject=subject,
            objects=tuple(_references([of] if not isinstance(of, Sequence) else of)),
            measured=None if measured is None else Measured(_rounded(measured), limit, unit),
            fix=fix,
        )


def _references(of: Sequence[Referable]) -> Iterator[ObjectReference]:
    seen: set[str] = set()
    for item in of:
        reference = item.reference
        if reference.ref not in seen:
            seen.add(reference.ref)
            yield reference_of(item)


def reference_of(item: Referable) -> ObjectReference:
    """Where a contour or object of a Job stands in the file, as reports say it."""
    reference = item.reference
    return ObjectReference(reference.ref, reference.layer, reference.kind, reference.line, reference.drawn_at)


def _places(points: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    return tuple((_rounded(x), _rounded(y)) for x, y in points.tolist())


def _rounded(value: float) -> float:
    # A tenth of a micrometre: keeps float noise of different processors out of the report.
    return round(float(value), 4) + 0.0


def figure(value: float) -> str:
    """A measured value in a sentence: three digits, none of them finer than reports give it."""
    return f"{_rounded(value):.3g}"


def rounded_box(bounds: ArrayLike) -> tuple[float, float, float, float]:
    """(4,) mm as reports give them: to a tenth of a micrometre."""
    x0, y0, x1, y1 = np.asarray(bounds, float).tolist()
    return _rounded(x0), _rounded(y0), _rounded(x1), _rounded(y1)


def page_sections(rule: type[Rule], shown: Mapping[str, str] | None = None) -> dict[str, str]:
    """The rule's page: ``summary`` and one entry per heading, settings interpolated.

    Parameters
    ----------
    shown : the values in force as text, by the setting's name; defaults stand in for what is left out.

    Raises
    ------
    ValueError
        The page lacks the summary or a heading of `HEADINGS`.
    """
    text = inspect.cleandoc(rule.__doc__ or "")
    for name, setting in rule.Settings.fields().items():
        text = text.replace("{" + name + "}", (shown or {}).get(name) or setting.shown(setting.default))
    pattern = "|".join(re.escape(heading) for heading in HEADINGS)
    summary, *rest = re.split(rf"^({pattern})\n-+\n", text, flags=re.MULTILINE)
    sections = {"summary": summary.strip()}
    sections.update({heading: body.strip() for heading, body in zip(rest[::2], rest[1::2], strict=True)})
    missing = [name for name in ("summary", *HEADINGS) if not sections.get(name)]
    if missing:
        raise ValueError(f"the page of rule {rule.id} lacks: {', '.join(missing)}")
    return sections
