"""The bytes of PDF streams, unpacked within limits. Knows filters; nothing of what the bytes mean."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from contextlib import contextmanager

import msgspec
import pikepdf

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.document.lzw import early_change, lzw_size
from preflight.readers.pdf.document.workload import Workload

__all__ = ["Streams", "Unpacked", "bounded"]

_CHUNK = 1 << 16
_STEPS = 8
"""What asking for a stream costs, however short it is."""
_LZW_GROWTH = 2800
"""Bytes that one byte of LZW can become at most: 4096-entry table, codes of 12 bits (ISO 32000-1, 7.4.4.2)."""


class Unpacked(msgspec.Struct, frozen=True):
    """A stream's bytes; ``fault`` says in a sentence without a full stop why they are not all there, or is None."""

    data: bytes
    fault: str | None = None


@contextmanager
def bounded(limits: Limits) -> Iterator[None]:
    """Bound what qpdf unpacks by itself (object streams, tables of objects, our own requests).

    qpdf's bounds hold for the whole process and are put back at the end; two threads that read PDF at the same
    time share whichever were set last.
    """
    from pikepdf import settings

    size = max(1, min(limits.decompressed_size, 2**32 - 1))
    before = settings.set_qpdf_limits(
        flate_max_memory=size, run_length_max_memory=size, png_max_memory=size, tiff_max_memory=size
    )
    try:
        yield
    finally:
        settings.set_qpdf_limits(**before)  # type: ignore[arg-type]


class Streams:
    """Unpacks the streams of one document and counts what they come to."""

    def __init__(self, limits: Limits, deadline: Deadline) -> None:
        self._limits = limits
        self.deadline = deadline
        self.workload = Workload(limits)
        self._total = 0

    def unpacked(self, stream: object) -> Unpacked:
        """All of a stream's bytes, its filters undone; what a damaged one still yields, with the fault.

        Nothing is kept: whoever needs the bytes twice keeps them.

        Raises
        ------
        preflight.readers.errors.Unreadable
            The document's streams come to more than the limit, in bytes or in number, or the time is over.
        """
        self.deadline.check()
        self.workload.take(_STEPS)
        if not isinstance(stream, pikepdf.Stream):
            return Unpacked(b"", "It is no stream")
        try:
            found = self._undone(stream)
        except (pikepdf.PdfError, ValueError, RuntimeError, TypeError) as error:
            if "memory limit" in str(error):
                raise self._too_large() from None
            found = Unpacked(b"", f"Its content cannot be unpacked ({_plain(error)})")
        self._total += len(found.data)
        if self._total > self._limits.decompressed_size:
            raise self._too_large()
        return found

    def _undone(self, stream: pikepdf.Stream) -> Unpacked:
        if "/F" in stream:
            return Unpacked(b"", "Its content is kept in another file, which is not read")
        filters = _names(stream.get("/Filter"))
        if not filters:
            return Unpacked(stream.read_raw_bytes())
        if filters == ["/FlateDecode"] and not _predicted(stream.get("/DecodeParms")):
            return self._inflated(stream.read_raw_bytes())
        if "/LZWDecode" in filters:
            refusal = self._refused_lzw(stream, filters)
            if refusal:
                return Unpacked(b"", refusal)
        return Unpacked(
            stream.read_bytes(pikepdf.StreamDecodeLevel.specialized)
        )  # RunLength as well, no lossy one

    def _inflated(self, raw: bytes) -> Unpacked:
        """Flate by hand: qpdf drops all of a stream that breaks off, and overlooks a wrong checksum."""
        room = self._limits.decompressed_size - self._total + 1
        unpacker = zlib.decompressobj()
        try:
            whole = unpacker.decompress(raw, room)
        except zlib.error:
            return self._salvaged(raw, room)
        if len(whole) >= room:
            raise self._too_large()
        if unpacker.eof:
            return Unpacked(whole)
        return Unpacked(whole, "Its packed content is cut off" if raw else None)

    def _salvaged(self, raw: bytes, room: int) -> Unpacked:
        """What a damaged Flate stream yields before the fault."""
        unpacker = zlib.decompressobj()
        parts: list[bytes] = []
        size = start = 0
        step = _CHUNK
        fault = "Its packed content is damaged; what stands after the damage is not read"
        while start < len(raw):
            before = unpacker.copy()
            try:
                part = unpacker.decompress(raw[start : start + step], room - size)
            except zlib.error as error:
                if step == 1:
                    if "check" in str(error):
                        fault = "The checksum of its packed content is wrong; it may have been damaged"
                    break
                unpacker, step = (
                    before,
                    max(1, step // 16),
                )  # what the piece held before the fault is wanted too
                continue
            parts.append(part)
            size += len(part)
            start += step
            if size >= room:
                raise self._too_large()
        return Unpacked(b"".join(parts), fault)

    def _refused_lzw(self, stream: pikepdf.Stream, filters: list[str]) -> str | None:
        """Why an LZW stream is not unpacked: qpdf has no bound for it, so its size is counted first."""
        place = filters.index("/LZWDecode")
        if any(name not in ("/ASCII85Decode", "/ASCIIHexDecode") for name in filters[:place]):
            return "Its content is packed more than once, in a way that is not unpacked"
        raw = stream.read_raw_bytes()
        room = self._limits.decompressed_size - self._total
        if len(raw) * 4 * _LZW_GROWTH <= room:  # one "z" of ASCII85 stands for four bytes
            return None
        if place:
            return "Its content is packed more than once, in a way that is not unpacked at this size"
        if lzw_size(raw, early_change(stream.get("/DecodeParms")), room) > room:
            raise self._too_large()
        return None

    def _too_large(self) -> Unreadable:
        return Unreadable(
            f"Unpacked, the file comes to more than the limit of {self._limits.decompressed_size / 1e6:.0f} MB",
            None,
            "Save it again without unneeded content, or raise [limits] decompressed_size in the profile.",
        )


def _names(filters: object) -> list[str]:
    if filters is None:
        return []
    if isinstance(filters, pikepdf.Array):
        return [str(one) for one in filters]
    return [str(filters)]


def _first(parms: object) -> object:
    return parms[0] if isinstance(parms, pikepdf.Array) and len(parms) else parms


def _predicted(parms: object) -> bool:
    parms = _first(parms)
    if not isinstance(parms, pikepdf.Dictionary):
        return False
    predictor = parms.get("/Predictor", 1)
    return predictor != 1


def _plain(error: Exception) -> str:
    """Qpdf's message without the varying name of the stream it read from."""
    return str(error).rpartition("): ")[2].strip().rstrip(".") or type(error).__name__
