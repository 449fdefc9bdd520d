"""A page's part of a file's report: what was found on it and what was not checked, its figures and colours. Knows no rule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from preflight.artwork import Origin
from preflight.job import Job, JobObject
from preflight.job.making.production import production
from preflight.reports.report import ColourUse, NotChecked, PageReport
from preflight.rule import Finding, ObjectReference, reference_of, rounded_box

__all__ = ["page_report"]


def page_report(job: Job, findings: Sequence[Finding]) -> PageReport:
    """The report of a page of which all has been asked that is to be asked, with its findings in their order."""
    page = job.artwork.page
    figures = production(job)
    return PageReport(
        number=page.number,
        size_mm=(round(page.width, 4), round(page.height, 4)),
        scale=round(page.scale, 9),
        findings=tuple(findings),
        # Last, when all that is asked of the page has been asked.
        not_checked=tuple(_not_checked(job)),
        production=figures,
        colours=_colours(job),
    )


def _colours(job: Job) -> tuple[ColourUse, ...]:
    """The named colours of a page, where the file has any."""
    if not job.artwork.spots:
        return ()
    from preflight.job.colours.verdicts import colour_uses

    return colour_uses(job)


def _not_checked(job: Job) -> Iterator[NotChecked]:
    """The page's notes, each with its object and the object's place where it is drawn."""
    drawn: dict[str, JobObject] = {}
    notes = job.notes
    for item in job.items if notes else ():
        drawn.setdefault(item.object.origin.ref, item)
    for note in notes:
        own = drawn.get(note.origin.ref) if note.origin else None
        yield NotChecked(
            kind=note.kind.value,
            what=note.what,
            message=note.message,
            bounds_mm=None if own is None or own.box is None else rounded_box(own.box),
            object=None if note.origin is None else _reference(note.origin, own),
        )


def _reference(origin: Origin, item: JobObject | None) -> ObjectReference:
    if item is not None:
        return reference_of(item)
    return ObjectReference(origin.ref, None, "element", origin.line, origin.drawn_at)
