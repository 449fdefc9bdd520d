"""Opens a document and says what had to be repaired. Knows no page content."""

from __future__ import annotations

import io
import logging
import re

import msgspec
import pikepdf

from preflight.artwork.model import Note, NoteKind
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.pdf.document.values import entry

__all__ = ["Opened", "opened", "warnings_of"]

# What qpdf says goes into notes; it is not to appear on stderr for want of anyone who listens.
logging.getLogger("pikepdf").addHandler(logging.NullHandler())

_LISTED = 20
"""Repairs that are listed one by one; the rest is counted."""
_POSTSCRIPT = b"%!PS"


class Opened(msgspec.Struct, frozen=True, eq=False):
    """A document that can be read, and what is to be said about it as a whole."""

    pdf: pikepdf.Pdf
    notes: tuple[Note, ...]


def opened(data: bytes, limits: Limits) -> Opened:
    """The document, repaired where qpdf can, decrypted where the password is empty.

    Call it, and read on, inside `streams.bounded`: qpdf unpacks tables of objects while it opens.

    Raises
    ------
    preflight.readers.errors.Unreadable
        No PDF, locked with a password, damaged beyond repair, or over a limit; with the mend.
    """
    if b"%PDF-" not in data[:1024]:
        raise _no_pdf(data)
    try:
        pdf = pikepdf.open(io.BytesIO(data), suppress_warnings=True, inherit_page_attributes=False)
    except pikepdf.PasswordError:
        raise Unreadable(
            "The file is locked with a password", None, "Save it without a password, then check it again."
        ) from None
    except (pikepdf.PdfError, RuntimeError, ValueError, TypeError, KeyError, OverflowError) as error:
        raise _damaged(error, data, limits) from None
    if not isinstance(pdf.trailer.get("/Root"), pikepdf.Dictionary):
        raise _damaged(None, data, limits)
    return Opened(pdf, tuple(_notes(pdf, data)))


def warnings_of(pdf: pikepdf.Pdf) -> list[Note]:
    """What qpdf repaired or could not read since it was last asked, as notes that say the same on every run."""
    told = list(dict.fromkeys(_plain(str(one)) for one in pdf.get_warnings()))
    notes = []
    rebuilt = [one for one in told if "reconstruct" in one.lower() or "file is damaged" in one.lower()]
    if rebuilt:
        message = "The file is damaged. Its table of objects was made anew from what could be found; something may be missing."
        notes.append(Note(NoteKind.FAULT, "damaged file", message))
    rest = [one for one in told if one not in rebuilt]
    notes += [
        Note(NoteKind.FAULT, "damaged file", f"Repaired while reading: {one}.") for one in rest[:_LISTED]
    ]
    if len(rest) > _LISTED:
        message = f"{len(rest) - _LISTED:,} more faults were repaired while reading."
        notes.append(Note(NoteKind.FAULT, "damaged file", message))
    return notes


def _plain(warning: str) -> str:
    """Qpdf's words without the name of the stream in memory, which differs from run to run."""
    text = re.sub(r"stream <[^>]*>[:,]?\s*", "", warning).strip().rstrip(".")
    return text or "something that qpdf does not name"


def _no_pdf(data: bytes) -> Unreadable:
    if _POSTSCRIPT in data[:1024]:
        return Unreadable(
            "The file holds no PDF, only PostScript or a drawing program's own data",
            None,
            "Save it again with PDF compatibility switched on, or export it as PDF or SVG.",
        )
    return Unreadable(
        "The file holds no PDF",
        None,
        "Save it again with PDF compatibility switched on, or export it as PDF or SVG.",
    )


def _damaged(error: Exception | None, data: bytes, limits: Limits) -> Unreadable:
    said = "" if error is None else _plain(str(error))
    if "memory limit" in said:
        return Unreadable(
            f"Unpacked, its table of objects comes to more than the limit of {limits.decompressed_size / 1e6:.0f} MB",
            None,
            "Save it again in another program, or raise [limits] decompressed_size in the profile.",
        )
    cut_off = b"%%EOF" not in data[-2048:]
    what = "The file is cut off" if cut_off else "The file is damaged beyond repair"
    return Unreadable(
        what + (f" ({said})" if said else ""),
        None,
        "Copy or send it again, or export it again from the drawing program.",
    )


def _notes(pdf: pikepdf.Pdf, data: bytes) -> list[Note]:
    notes = []
    junk = data.find(b"%PDF-")
    if junk > 0:
        message = f"{junk} bytes stand before the start of the PDF; they are skipped."
        notes.append(Note(NoteKind.FAULT, "damaged file", message))
    if pdf.is_encrypted:
        message = "The file is encrypted; it opened with the empty password. Some programs will not place or print it."
        notes.append(Note(NoteKind.ASSUMED, "encryption", message))
    notes += _unread_parts(pdf)
    return notes


def _unread_parts(pdf: pikepdf.Pdf) -> list[Note]:
    """What a document may hold beside its pages that changes or replaces what they show."""
    notes = []
    if entry(pdf.Root, "/Collection") is not None:
        message = "The file is a portfolio of other files; only its own pages are read."
        notes.append(Note(NoteKind.NOT_MODELLED, "portfolio", message))
    if entry(entry(pdf.Root, "/Names"), "/JavaScript") is not None or _is_script(
        entry(pdf.Root, "/OpenAction")
    ):
        message = "A script may change the artwork when the file is opened; it is not run."
        notes.append(Note(NoteKind.NOT_MODELLED, "script", message))
    if entry(entry(pdf.Root, "/AcroForm"), "/XFA") is not None:
        message = "The file holds a form that a viewer lays out itself (XFA); only what stands on its pages is read."
        notes.append(Note(NoteKind.NOT_MODELLED, "form", message))
    return notes


def _is_script(action: object) -> bool:
    return entry(action, "/JS") is not None
