"""The named colours of files against the output, as plain data and as text. Judges nothing."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

import msgspec

from preflight.job import Job
from preflight.job.colours.tints import ASSUMED
from preflight.job.colours.uses import FULL, ColourUse, TintUse
from preflight.job.colours.verdicts import colour_uses

from .words import format_number, printable

__all__ = ["ColoursOfFile", "ColoursOfPage", "ColoursSeen", "colours_of", "colours_text", "lab_words"]


class ColoursOfPage(msgspec.Struct, frozen=True):
    """Named colours of one page, in the order of first use."""

    number: int
    colours: tuple[ColourUse, ...]


class ColoursOfFile(msgspec.Struct, frozen=True, kw_only=True):
    """Named colours of one file. ``output`` is what they are judged for, ``tolerance`` in ΔE00; both None where there are no colours.

    ``unread`` tells what the libraries hold and is not read. ``reason`` and ``hint`` are set where the file cannot be read.
    """

    path: str
    output: str | None = None
    tolerance: float | None = None
    pages: tuple[ColoursOfPage, ...] = ()
    unread: tuple[str, ...] = ()
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
    return ColoursOfFile(
        path=path, output=shop.output.name, tolerance=tolerance, pages=pages, unread=shop.unread
    )


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
        for what in file.unread:
            lines += _wrapped(f"Of the library {what}.", width, "  ")
        lines.append("")
    return "\n".join(lines)


def lab_words(lab: Sequence[float] | None) -> str:
    """``62 −58 70``, or a dash where it is not known."""
    if lab is None:
        return "–"
    return " ".join(f"{round(value)}".replace("-", "−") for value in lab)


_Row = tuple[str, str, str, str, str]


def _table(page: ColoursOfPage, width: int) -> Iterator[str]:
    head: _Row = (f"page {page.number}", "L* a* b*", "verdict", "ΔE00", "nearest")
    rows = [(head, ""), *(pair for colour in page.colours for pair in _rows(colour))]
    wide = [max(len(row[column]) for row, _ in rows) for column in range(len(head))]
    # A long name gives way: what is judged has to stand in one line.
    wide[0] = min(wide[0], max(12, width - 2 - sum(wide[1:4]) - 2 * 4 - min(wide[4], 24)))
    for row, beside in rows:
        name = textwrap.wrap(row[0], wide[0], drop_whitespace=False) or [""]
        cells = [
            name[0].ljust(wide[0]),
            row[1].ljust(wide[1]),
            row[2].ljust(wide[2]),
            row[3].rjust(wide[3]),
            row[4],
        ]
        yield "  " + "  ".join(cells).rstrip()
        for more in name[1:]:
            yield "  " + more.strip()
        if beside:
            yield from _wrapped(beside, width, "      ")


def _rows(colour: ColourUse) -> Iterator[tuple[_Row, str]]:
    """What stands in a row, and what beneath it; tints have rows of their own where the page prints others than the full one."""
    source = (
        f"from {colour.source}"
        if colour.source != "nothing"
        else "nothing in the file says what colour it is"
    )
    name, lab = printable(colour.name), lab_words(colour.lab)
    if [tint.percent for tint in colour.tints] == [FULL]:
        (tint,) = colour.tints
        yield (name, lab, tint.verdict, *_near(tint)), "; ".join([source, *_recipes(tint)])
        return
    yield (name, lab, colour.verdict, "", ""), source
    for tint in colour.tints:
        words = tint.source if tint.source == ASSUMED else f"from {tint.source}"
        told = [words] if tint.source != colour.source else []
        row: _Row = (f"  {tint.percent} %", lab_words(tint.lab), tint.verdict, *_near(tint))
        yield row, "; ".join([*told, *_recipes(tint)])


def _near(tint: TintUse) -> tuple[str, str]:
    near = tint.nearest
    return ("", "") if near is None else (f"{near.difference:.1f}", lab_words(near.lab))


def _recipes(tint: TintUse) -> Iterator[str]:
    if tint.nearest is not None:
        yield f"nearest by {tint.nearest.recipe}"
    if tint.same_hue is not None:
        yield f"of the same hue {tint.same_hue.recipe}, {tint.same_hue.difference:.1f} off"


def _wrapped(text: str, width: int, indent: str) -> list[str]:
    return textwrap.wrap(
        printable(text), width, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False
    )
