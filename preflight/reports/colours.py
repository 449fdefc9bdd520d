"""The named colours of files against the output, as plain data and as text. Judges nothing."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

import msgspec

from preflight.job import Job
from preflight.job.colours.verdicts import ColourUse, colour_uses

from .words import format_number, printable

__all__ = ["ColoursOfFile", "ColoursOfPage", "ColoursSeen", "colours_of", "colours_text", "lab_words"]


class ColoursOfPage(msgspec.Struct, frozen=True):
    """Named colours of one page, in the order of first use."""

    number: int
    colours: tuple[ColourUse, ...]


class ColoursOfFile(msgspec.Struct, frozen=True, kw_only=True):
    """Named colours of one file. ``output`` is what they are judged for, ``tolerance`` in ΔE00; both None where there are no colours.

    ``reason`` and ``hint`` are set where the file cannot be read.
    """

    path: str
    output: str | None = None
    tolerance: float | None = None
    pages: tuple[ColoursOfPage, ...] = ()
    reason: str | None = None
    hint: str | None = None


class ColoursSeen(msgspec.Struct, frozen=True):
    """All files, in the order given."""

    files: tuple[ColoursOfFile, ...]


def colours_of(path: str, jobs: Sequence[Job]) -> ColoursOfFile:
    """The named colours that a file's pages print.

    Raises
    ------
    ProfileError
        A library or the output profile cannot be used.
    """
    pages = tuple(ColoursOfPage(job.artwork.page.number, colour_uses(job)) for job in jobs)
    if not any(page.colours for page in pages):
        return ColoursOfFile(path=path, pages=pages)
    shop, tolerance = jobs[0].colours.shop, jobs[0].profile.output.tolerance
    return ColoursOfFile(path=path, output=shop.output.name, tolerance=tolerance, pages=pages)


def colours_text(seen: ColoursSeen, width: int = 80) -> str:
    """The colours as tables for a person, each row within ``width`` where the names allow."""
    lines: list[str] = []
    for file in seen.files:
        lines.append(printable(file.path))
        if file.reason is not None:
            lines += _wrapped(f"{file.reason}. {file.hint or ''}", width, "  ")
        elif file.output is None:
            lines.append("  no named colour prints")
        else:
            told = f"judged for {file.output}, within ΔE00 {format_number(file.tolerance or 0.0)}"
            lines += _wrapped(told, width, "  ")
        for page in file.pages:
            if page.colours:
                lines += _table(page, width)
        lines.append("")
    return "\n".join(lines)


def lab_words(lab: Sequence[float] | None) -> str:
    """``62 −58 70``, or a dash where it is not known."""
    if lab is None:
        return "–"
    return " ".join(f"{round(value)}".replace("-", "−") for value in lab)


def _table(page: ColoursOfPage, width: int) -> Iterator[str]:
    head = (f"page {page.number}", "L* a* b*", "verdict", "ΔE00", "nearest")
    rows = [_row(colour) for colour in page.colours]
    wide = [max(len(row[column]) for row in (head, *rows)) for column in range(len(head))]
    # A long name gives way: what is judged has to stand in one line.
    wide[0] = min(wide[0], max(12, width - 2 - sum(wide[1:4]) - 2 * 4 - min(wide[4], 24)))
    for row, colour in zip((head, *rows), (None, *page.colours), strict=True):
        name = textwrap.wrap(row[0], wide[0]) or [""]
        cells = [
            name[0].ljust(wide[0]),
            row[1].ljust(wide[1]),
            row[2].ljust(wide[2]),
            row[3].rjust(wide[3]),
            row[4],
        ]
        yield "  " + "  ".join(cells).rstrip()
        for more in name[1:]:
            yield "  " + more
        if colour is not None:
            yield from _wrapped(_beside(colour), width, "      ")


def _row(colour: ColourUse) -> tuple[str, str, str, str, str]:
    return (
        printable(colour.name),
        lab_words(colour.lab),
        colour.verdict,
        "" if colour.difference is None else f"{colour.difference:.1f}",
        "" if colour.nearest is None else lab_words(colour.nearest.lab),
    )


def _beside(colour: ColourUse) -> str:
    told = (
        f"from {colour.source}"
        if colour.source != "nothing"
        else "nothing in the file says what colour it is"
    )
    if colour.nearest is None:
        return told
    return f"{told}; nearest by {colour.nearest.recipe}"


def _wrapped(text: str, width: int, indent: str) -> list[str]:
    return textwrap.wrap(
        printable(text), width, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False
    )
