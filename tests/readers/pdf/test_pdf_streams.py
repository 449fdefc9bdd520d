"""Unpacking of PDF streams: every filter, damage, and bombs."""

from __future__ import annotations

import base64
import io
import zlib

import pikepdf
import pytest
from small_pdfs import one_page, stream

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.document.streams import Streams, Unpacked, bounded
from preflight.readers.pdf.read import read

CONTENT = b"10 10 m 90 10 l S\n" * 200


def unpacked(raw: bytes, entries: str, limits: Limits | None = None) -> Unpacked:
    limits = limits or Limits()
    with bounded(limits):
        pdf = pikepdf.open(io.BytesIO(one_page(others={5: stream(raw, entries)})))
        return Streams(limits, Deadline(10)).unpacked(pdf.get_object(5, 0))


def lzw(data: bytes, early: int = 1) -> bytes:
    """LZW by ISO 32000-1, 7.4.4.2: a table that starts anew when it is full."""
    bits: list[str] = []
    table = {bytes([byte]): byte for byte in range(256)}
    width, held = 9, b""
    bits.append(f"{256:09b}")

    def put(code: int) -> None:
        bits.append(f"{code:0{width}b}")

    count = 258
    for byte in data:
        longer = held + bytes([byte])
        if longer in table:
            held = longer
            continue
        put(table[held])
        table[longer] = count
        count += 1
        if count + early > 1 << width and width < 12:
            width += 1
        if count == 4094:
            put(256)
            table = {bytes([one]): one for one in range(256)}
            width, count = 9, 258
        held = bytes([byte])
    put(table[held])
    count += 1
    if count + early > 1 << width and width < 12:
        width += 1
    put(257)
    joined = "".join(bits)
    joined += "0" * (-len(joined) % 8)
    return int(joined, 2).to_bytes(len(joined) // 8, "big")


@pytest.mark.parametrize(
    ("raw", "entries"),
    [
        (CONTENT, ""),
        (zlib.compress(CONTENT), "/Filter /FlateDecode"),
        (zlib.compress(CONTENT), "/Filter [/FlateDecode] /DecodeParms [null]"),
        (zlib.compress(CONTENT), "/Filter /FlateDecode /DecodeParms << /Predictor 1 >>"),
        (zlib.compress(zlib.compress(CONTENT)), "/Filter [/FlateDecode /FlateDecode]"),
        (base64.a85encode(CONTENT) + b"~>", "/Filter /ASCII85Decode"),
        (CONTENT.hex().encode() + b">", "/Filter /ASCIIHexDecode"),
        (base64.a85encode(zlib.compress(CONTENT)) + b"~>", "/Filter [/ASCII85Decode /FlateDecode]"),
        (lzw(CONTENT), "/Filter /LZWDecode"),
        (lzw(CONTENT, 0), "/Filter /LZWDecode /DecodeParms << /EarlyChange 0 >>"),
        (base64.a85encode(lzw(CONTENT)) + b"~>", "/Filter [/ASCII85Decode /LZWDecode]"),
    ],
)
def test_every_filter(raw: bytes, entries: str) -> None:
    assert unpacked(raw, entries) == Unpacked(CONTENT, None)


def test_runs() -> None:
    # ISO 32000-1, 7.4.5: a length of 0 to 127 copies that many and one bytes, 129 to 255 repeats the next 257 less it.
    assert unpacked(b"\x03 m 1\xfe0\x80", "/Filter /RunLengthDecode") == Unpacked(b" m 1000", None)


def test_what_stands_before_the_damage_is_kept_and_the_damage_said() -> None:
    packed = bytearray(zlib.compress(bytes(range(256)) * 40 + CONTENT, 1))
    whole = zlib.decompress(packed)
    cut = unpacked(bytes(packed[:-40]), "/Filter /FlateDecode")
    assert len(cut.data) > 10_000
    assert whole.startswith(cut.data)
    assert cut.fault
    wrong_sum = unpacked(bytes(packed[:-1]) + b"\x00", "/Filter /FlateDecode")
    assert wrong_sum.fault
    assert "checksum" in wrong_sum.fault
    assert whole.startswith(wrong_sum.data)
    packed[150:160] = b"\xff" * 10
    spoilt = unpacked(bytes(packed), "/Filter /FlateDecode")
    assert spoilt.fault


@pytest.mark.parametrize(
    ("raw", "entries"),
    [
        (b"nonsense", "/Filter /FlateDecode"),
        (b"nonsense", "/Filter [/ASCIIHexDecode /FlateDecode]"),
        (b"nonsense", "/Filter /NoSuchDecode"),
        (b"nonsense", "/Filter /DCTDecode"),
        (b"nonsense", "/Filter 7"),
        (CONTENT, "/F (elsewhere.bin)"),
        (zlib.compress(lzw(CONTENT)), "/Filter [/FlateDecode /LZWDecode]"),
    ],
)
def test_what_cannot_be_unpacked_is_said(raw: bytes, entries: str) -> None:
    assert unpacked(raw, entries).fault


def test_what_is_no_stream_is_said() -> None:
    assert Streams(Limits(), Deadline(10)).unpacked(pikepdf.Dictionary()).fault


SMALL = Limits(decompressed_size=1_000_000)
NOTHING = bytes(1_200_000)


@pytest.mark.parametrize(
    ("raw", "entries"),
    [
        (zlib.compress(NOTHING), "/Filter /FlateDecode"),
        (zlib.compress(NOTHING)[:-9], "/Filter /FlateDecode"),
        (zlib.compress(zlib.compress(NOTHING)), "/Filter [/FlateDecode /FlateDecode]"),
        (b"\x81\x00" * 10_000, "/Filter /RunLengthDecode"),
        (lzw(NOTHING), "/Filter /LZWDecode"),
        (zlib.compress(NOTHING), "/Filter /FlateDecode /DecodeParms << /Predictor 12 /Columns 4 >>"),
    ],
)
def test_bombs_are_refused(raw: bytes, entries: str) -> None:
    with pytest.raises(Unreadable, match="more than the limit of 1 MB"):
        unpacked(raw, entries, SMALL)


def test_all_streams_count_together() -> None:
    streams = Streams(SMALL, Deadline(10))
    pdf = pikepdf.new()
    one = pikepdf.Stream(pdf, bytes(400_000))
    streams.unpacked(one)
    streams.unpacked(one)
    with pytest.raises(Unreadable):
        streams.unpacked(one)


def test_a_bomb_in_the_table_of_objects_is_refused() -> None:
    pdf = pikepdf.new()
    pdf.add_blank_page()
    pdf.Root.Padding = pdf.make_indirect(pikepdf.String(" " * 3_000_000))
    out = io.BytesIO()
    pdf.save(out, object_stream_mode=pikepdf.ObjectStreamMode.generate, compress_streams=True)
    assert len(out.getvalue()) < 20_000
    with pytest.raises(Unreadable):
        read(out.getvalue(), "bomb.pdf", SMALL)
    assert read(out.getvalue(), "bomb.pdf", Limits())


def test_qpdfs_own_bounds_are_put_back() -> None:
    from pikepdf import settings

    before = settings.get_qpdf_limits()
    with bounded(SMALL):
        assert settings.get_qpdf_limits()["flate_max_memory"] == 1_000_000
    assert settings.get_qpdf_limits() == before
