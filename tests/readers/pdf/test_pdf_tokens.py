"""Content streams to instructions: notation of ISO 32000-1, 7.2 and 7.3, damage, stretches of any size."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.readers.pdf.content import tokens
from preflight.readers.pdf.content.decimals import odd_decimal
from preflight.readers.pdf.content.tokens import PATH, PATH_OPERATORS, Name, batches


def read(content: bytes) -> tuple[list[tuple[str, list[Any]]], list[str]]:
    """Operators with their operands, path construction spelt out, and what was said to be wrong."""
    faults: list[str] = []
    found: list[tuple[str, list[Any]]] = []
    for batch in batches(content, faults.append):
        for name, operands, _ in batch.instructions:
            if name is not PATH:
                found.append((name, operands))
                continue
            for row in range(*operands):
                numbers = batch.numbers[row]
                found.append((PATH_OPERATORS[batch.codes[row]], numbers[~np.isnan(numbers)].tolist()))
    return found, faults


def test_path_construction_and_the_rest_keep_their_order() -> None:
    found, faults = read(
        b"q 1 0 0 1 5 6 cm 1 2 m 3 4 l 1 2 3 4 5 6 c 1 2 3 4 v 5 6 7 8 y h 0 0 9 9 re f Q\n1 1 m n"
    )
    assert faults == []
    assert found == [
        ("q", []),
        ("cm", [1, 0, 0, 1, 5, 6]),
        ("m", [1, 2]),
        ("l", [3, 4]),
        ("c", [1, 2, 3, 4, 5, 6]),
        ("v", [1, 2, 3, 4]),
        ("y", [5, 6, 7, 8]),
        ("h", []),
        ("re", [0, 0, 9, 9]),
        ("f", []),
        ("Q", []),
        ("m", [1, 1]),
        ("n", []),
    ]


def test_operators_are_numbered_from_one_over_all_stretches(monkeypatch: pytest.MonkeyPatch) -> None:
    content = b"q 1 2 m 3 4 l S Q /A gs (x) Tj " * 50
    whole = [number for batch in batches(content, pytest.fail) for _, _, number in batch.instructions]
    monkeypatch.setattr(tokens, "_CHUNK", 16)
    pieces = [number for batch in batches(content, pytest.fail) for _, _, number in batch.instructions]
    assert whole[:6] == [1, 2, 4, 5, 6, 7]
    assert pieces[-1] == whole[-1] == 7 * 50


@pytest.mark.parametrize("chunk", [1, 2, 3, 5, 8, 13, 64])
def test_stretches_of_any_size_give_the_same(chunk: int, monkeypatch: pytest.MonkeyPatch) -> None:
    content = (
        b"q 1.25 -.5 m 30 40 l % BI ( nothing\n/OC /x#20y BDC [(a\\)b(c)) -3 <41 4>] TJ 0 0 5 5 re W n\n"
        b"BI /W 2 /H 2 /BPC 8 /CS /G ID ab)( EI EMC << /A [1 /b true] /C << /D null >> >> DP 1 2 3 rg"
    )
    whole = read(content)
    monkeypatch.setattr(tokens, "_CHUNK", chunk)
    assert read(content) == whole


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        (b"(plain)", b"plain"),
        (b"(a(b)c)", b"a(b)c"),
        (rb"(\(\)\\\n\r\t\b\f\q)", b"()\\\n\r\t\b\fq"),
        (rb"(\101\60\0053\400)", b"A0\x053\x00"),  # 7.3.4.2: high-order overflow is ignored
        (b"(one\\\r\ntwo\\\nthree)", b"onetwothree"),
        (b"(one\r\ntwo\rthree\nfour)", b"one\ntwo\nthree\nfour"),
        (b"<901FA3>", b"\x90\x1f\xa3"),  # the standard's own example, as is the next
        (b"<901FA>", b"\x90\x1f\xa0"),
        (b"<90 1f\na3>", b"\x90\x1f\xa3"),
        (b"()", b""),
        (b"<>", b""),
    ],
)
def test_strings(written: bytes, meant: bytes) -> None:
    assert read(written + b" Tj") == ([("Tj", [meant])], [])


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        (b"/Name1", "Name1"),
        (b"/A;Name_With-Various***Characters?", "A;Name_With-Various***Characters?"),
        (b"/Lime#20Green", "Lime Green"),  # 7.3.5, table 4
        (b"/paired#28#29parentheses", "paired()parentheses"),
        (b"/The_Key_of_F#23_Minor", "The_Key_of_F#_Minor"),
        (b"/A#42", "AB"),
        (b"/", ""),
        ("/Größe".encode(), "Größe"),
        (b"/Gr#F6#DFe", "Größe"),
        (b"/no#hex", "no#hex"),
    ],
)
def test_names(written: bytes, meant: str) -> None:
    found, faults = read(written + b" gs")
    assert found == [("gs", [meant])]
    assert isinstance(found[0][1][0], Name)
    assert faults == []


@pytest.mark.parametrize(
    ("written", "value", "proper"),
    [
        (b"34.5", 34.5, True),  # 7.3.3: the standard's own examples
        (b"-3.62", -3.62, True),
        (b"+123.6", 123.6, True),
        (b"4.", 4.0, True),
        (b"-.002", -0.002, True),
        (b"0.0", 0.0, True),
        (b"+17", 17.0, True),
        (b"-98", -98.0, True),
        (b"123456789012345678901234567890", 123456789012345678901234567890.0, True),
        (b"0.000000000000000000125", 1.25e-19, True),
        (b"--5", -5.0, False),
        (b"1.2.3", 1.2, False),
        (b"12-34", 12.0, False),
        (b"-", 0.0, False),
        (b".", 0.0, False),
        (b"9" * 400, float("inf"), True),
    ],
)
def test_numbers(written: bytes, value: float, proper: bool) -> None:
    found, faults = read(written + b" 7 l " + written + b" w")
    assert found == [("l", [value, 7]), ("w", [value])]
    assert (faults == []) == proper
    assert odd_decimal(written) == (value, proper)


@given(st.lists(st.decimals(-(10**9), 10**9, allow_nan=False, places=None), min_size=1, max_size=40))
def test_numbers_are_those_that_python_reads(numbers: list[Any]) -> None:
    texts = [format(number, "f") for number in numbers]
    found, faults = read(" ".join(texts).encode() + b" d1")
    assert found == [("d1", [float(text) for text in texts])]
    assert faults == []


@given(
    st.lists(
        st.from_regex(r"[+-]?([0-9]{0,9}\.[0-9]{0,9}|[0-9]{1,16})", fullmatch=True), min_size=1, max_size=40
    )
)
def test_short_numbers_are_rounded_rightly(texts: list[str]) -> None:
    found, _ = read(" ".join(texts).encode() + b" d1")
    assert found == [("d1", [odd_decimal(text.encode())[0] for text in texts])]


@given(st.binary(max_size=300))
def test_any_bytes_give_an_answer(content: bytes) -> None:
    read(content)


@given(st.text("q123.- \n()<>[]{}/%\\BIDEmlchre'*", max_size=200))
def test_anything_like_content_gives_an_answer(content: str) -> None:
    read(content.encode())


@pytest.mark.parametrize(
    "content",
    [
        b"(never closed",
        b"[1 2 (a)",
        b"[1 2 3 0 0 m",
        b"<< /A 1",
        b"<41",
        b"5 6 ) 7 8 m",
        b"> 5 6 m",
        b"} 5 6 m {",
        b"[" * 500,
        b"1 2 3",
        b"BI /W 1 ID xx",
        b"BI /W 1",
        b"<< /A >> DP",
    ],
)
def test_damage_is_said(content: bytes) -> None:
    assert read(content)[1]


def test_what_stands_before_and_after_damage_is_kept() -> None:
    found, faults = read(b"1 2 m ) 3 4 l S [1 2 0 d 5 6 m")
    assert [name for name, _ in found] == ["m", "l", "S", "d", "m"]
    assert len(faults) == 2


def test_path_operators_with_other_operands_come_singly() -> None:
    assert read(b"1 m 1 2 3 l /A 2 m 1 h")[0] == [("m", [1]), ("l", [1, 2, 3]), ("m", ["A", 2]), ("h", [1])]


IMAGE = b"/W 4 /H 2 /BPC 8 /CS /G"


@pytest.mark.parametrize(
    ("keys", "data"),
    [
        (IMAGE, b"abcdefgh"),
        (IMAGE, b"a EI bcd"),  # what looks like the end lies inside the known length
        (b"/W 3 /H 2 /IM true", b"\x01\x02"),
        (b"/W 1 /H 1 /BPC 8 /CS /RGB /F /AHx", b"ff00ff>"),
        (b"/W 1 /H 1 /BPC 8 /CS /CS0", b"\xff EI \x00\x80\x90 xx"),  # content is text, a picture seldom is
    ],
)
def test_inline_images_end_where_their_bytes_do(keys: bytes, data: bytes) -> None:
    found, faults = read(b"q BI " + keys + b" ID " + data + b"\nEI Q 1 2 m")
    assert faults == []
    assert [name for name, _ in found] == ["q", "BI", "Q", "m"]
    assert found[1][1][1].rstrip(b"\n") == data
    assert found[1][1][0][Name("W")] > 0


def test_a_packed_inline_image_is_unpacked_to_find_its_end() -> None:
    import zlib

    packed = zlib.compress(bytes(range(256)) * 3) + b""
    found, _ = read(b"BI /W 1 /H 1 /F /Fl ID " + packed + b" EI Q")
    assert found[0][1][1].rstrip() == packed.rstrip()
    assert found[1] == ("Q", [])


def test_letters_inside_words_are_no_image() -> None:
    assert [name for name, _ in read(b"/BI gs (BI ) Tj BIX 1 2 m")[0]] == ["gs", "Tj", "BIX", "m"]


def test_bytes_that_stand_in_for_operands_are_no_operands() -> None:
    found, _ = read(b"1 \x01 2 m (a) Tj")
    assert found[-1] == ("Tj", [b"a"])
