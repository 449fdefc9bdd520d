"""PDF functions of every type: values, limits, damage."""

from __future__ import annotations

import time

import numpy as np
import pikepdf
import pytest

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.functions.reading import Function, FunctionError, function_of


@pytest.fixture
def make():
    pdf = pikepdf.new()
    streams = Streams(Limits(), Deadline(60))

    def made(text: str, data: bytes | None = None) -> Function:
        value = pikepdf.Object.parse(text.encode())
        if data is not None:
            value = pikepdf.Stream(pdf, data, value)
        return function_of(value, streams)

    return made


def program(make, text: str, inputs: int = 1, outputs: int = 1, bound: float = 1e6) -> Function:
    domain = f"{-bound} {bound} " * inputs
    range_ = f"{-bound} {bound} " * outputs
    return make(f"<< /FunctionType 4 /Domain [{domain}] /Range [{range_}] >>", text.encode())


@pytest.mark.parametrize(
    ("bits", "data"),
    [
        (1, bytes([0b01000000])),
        (2, bytes([0b00110000])),
        (4, bytes([0x0F])),
        (8, bytes([0x00, 0xFF])),
        (12, bytes([0x00, 0x0F, 0xFF])),
        (16, bytes([0, 0, 255, 255])),
        (24, bytes([0, 0, 0, 255, 255, 255])),
        (32, bytes([0] * 4 + [255] * 4)),
    ],
)
def test_samples_of_every_width(make, bits, data):
    found = make(f"<< /FunctionType 0 /Domain [0 1] /Range [0 1] /Size [2] /BitsPerSample {bits} >>", data)
    assert found([[0.0], [0.25], [1.0]]) == pytest.approx(np.array([[0], [0.25], [1]]))


@pytest.mark.parametrize("bits", [1, 2, 4, 8, 12, 16, 24, 32])
@pytest.mark.parametrize("count", [2, 3, 5, 8, 11])
def test_packed_samples_against_their_bits_one_by_one(make, bits, count):
    whole = np.random.default_rng(bits).integers(0, 2**bits, count).tolist()
    text = "".join(f"{sample:0{bits}b}" for sample in whole)
    data = bytes(int(text[at : at + 8].ljust(8, "0"), 2) for at in range(0, len(text), 8))
    found = make(
        f"<< /FunctionType 0 /Domain [0 {count - 1}] /Range [0 {2**bits - 1}] /Size [{count}] /BitsPerSample {bits} >>",
        data,
    )
    assert found(np.arange(count)[:, None])[:, 0] == pytest.approx(whole)


def test_first_input_of_a_table_runs_fastest_and_cells_are_filled_linearly(make):
    # value = x + 2y at the corners of the unit square, which multilinear interpolation keeps everywhere.
    found = make(
        "<< /FunctionType 0 /Domain [0 1 0 1] /Range [0 255] /Size [2 2] /BitsPerSample 8 >>",
        bytes([0, 1, 2, 3]),
    )
    rows = np.random.default_rng(1).random((50, 2))
    assert found(rows)[:, 0] == pytest.approx(rows[:, 0] + 2 * rows[:, 1])


def test_table_against_scipy_in_three_dimensions(make):
    from scipy.interpolate import RegularGridInterpolator

    table = np.random.default_rng(2).integers(0, 256, (4, 3, 5, 2), dtype=np.uint8)  # x, y, z, output
    data = table.transpose(2, 1, 0, 3).tobytes()
    found = make(
        "<< /FunctionType 0 /Domain [0 3 0 2 0 4] /Range [0 255 0 255] /Size [4 3 5] /BitsPerSample 8 >>",
        data,
    )
    rows = np.random.default_rng(3).random((200, 3)) * [3, 2, 4]
    grid = RegularGridInterpolator((range(4), range(3), range(5)), table.astype(float))
    assert found(rows) == pytest.approx(grid(rows))


def test_encode_may_turn_a_table_round_and_decode_stretches_it(make):
    found = make(
        "<< /FunctionType 0 /Domain [0 1] /Range [-5 5] /Size [2] /BitsPerSample 8 /Encode [1 0] /Decode [-4 4] >>",
        bytes([0, 255]),
    )
    assert found([[0.0], [0.5], [1.0]])[:, 0] == pytest.approx([4, 0, -4])


def test_cubic_order_is_remarked(make):
    found = make(
        "<< /FunctionType 0 /Domain [0 1] /Range [0 1] /Size [2] /BitsPerSample 8 /Order 3 >>",
        bytes([0, 255]),
    )
    assert found.remarks
    assert found([0.5]) == pytest.approx([0.5])


def test_values_and_results_are_clipped(make):
    found = make("<< /FunctionType 2 /Domain [0 1] /Range [0 0.8] /C0 [0] /C1 [1] /N 1 >>")
    assert found([[-3.0], [0.5], [9.0]])[:, 0] == pytest.approx([0, 0.5, 0.8])


def test_exponent_default_ends(make):
    assert make("<< /FunctionType 2 /Domain [0 1] /N 2 >>")([0.5]) == pytest.approx([0.25])


def test_a_bound_belongs_to_the_part_above_it(make):
    part = "<< /FunctionType 2 /Domain [0 1] /C0 [{0}] /C1 [{1}] /N 1 >>"
    text = (
        "<< /FunctionType 3 /Domain [0 1] /Bounds [0.25 0.25] /Encode [0 1 0 1 1 0] /Functions ["
        f"{part.format(0, 1)} {part.format(5, 6)} {part.format(10, 20)}] >>"
    )
    found = make(text)
    assert found([[0.0], [0.125], [0.25], [1.0]])[:, 0] == pytest.approx([0, 0.5, 20, 10])
    assert found.breaks() == (0.25, 0.25)


def test_an_array_of_functions_stands_side_by_side(make):
    found = make(
        "[<< /FunctionType 2 /Domain [0 1] /N 1 >> << /FunctionType 2 /Domain [0 1] /C0 [1] /C1 [0] /N 1 >>]"
    )
    assert (found.inputs, found.outputs) == (1, 2)
    assert found([[0.25]])[0] == pytest.approx([0.25, 0.75])


@pytest.mark.parametrize(
    ("text", "given", "expected"),
    [
        ("{abs}", [-3.5], [3.5]),
        ("{add}", [2, 3], [5]),
        ("{atan}", [1, 0], [90]),
        ("{pop -1 0 atan}", [0], [270]),
        ("{ceiling}", [-1.5], [-1]),
        ("{cos}", [60], [0.5]),
        ("{sin}", [30], [0.5]),
        ("{cvi}", [-2.9], [-2]),
        ("{cvi cvr 2 div}", [3.7], [1.5]),
        ("{div}", [1, 4], [0.25]),
        ("{exp}", [9, 0.5], [3]),
        ("{floor}", [-1.5], [-2]),
        ("{cvi exch cvi exch idiv}", [-7, 2], [-3]),
        ("{cvi exch cvi exch mod}", [-5, 3], [-2]),
        ("{ln}", [np.e], [1]),
        ("{log}", [1000], [3]),
        ("{mul}", [3, 4], [12]),
        ("{neg}", [3], [-3]),
        ("{round}", [-6.5], [-6]),
        ("{round}", [6.5], [7]),
        ("{truncate}", [-3.7], [-3]),
        ("{sqrt}", [16], [4]),
        ("{sub}", [3, 5], [-2]),
        ("{pop 5 3 and}", [0], [1]),
        ("{pop 5 3 or}", [0], [7]),
        ("{pop 5 3 xor}", [0], [6]),
        ("{pop 52 not}", [0], [-53]),
        ("{pop 7 3 bitshift}", [0], [56]),
        ("{pop 142 -3 bitshift}", [0], [17]),
        ("{pop 1 31 bitshift 2147483648 add}", [0], [0]),
        ("{0.5 gt {1} {2} ifelse}", [0.7], [1]),
        ("{0.5 ge {1} {2} ifelse}", [0.5], [1]),
        ("{0.5 lt {1} {2} ifelse}", [0.5], [2]),
        ("{0.5 le {1} {2} ifelse}", [0.5], [1]),
        ("{0.5 eq {1} {2} ifelse}", [0.5], [1]),
        ("{0.5 ne {1} {2} ifelse}", [0.5], [2]),
        ("{pop true false or {1} {2} ifelse}", [0], [1]),
        ("{pop true false and not {1} {2} ifelse}", [0], [1]),
        ("{pop true true xor {1} {2} ifelse}", [0], [2]),
        ("{dup 0.5 gt {pop 9} if}", [0.2], [0.2]),
        ("{2 copy add add add}", [1, 2], [6]),
        ("{dup mul}", [5], [25]),
        ("{exch sub}", [1, 5], [4]),
        ("{1 index sub}", [1, 5], [4]),
        ("{pop pop}", [1, 5, 6], [1]),
        ("% a remark }\n{ 2e0 mul % another {\n }", [3], [6]),
    ],
)
def test_operators(make, text, given, expected):
    assert program(make, text, len(given), len(expected))(given) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("turn", "expected"), [(-1, [2, 3, 1]), (1, [3, 1, 2]), (0, [1, 2, 3]), (4, [3, 1, 2])]
)
def test_roll(make, turn, expected):
    # (a) (b) (c) 3 -1 roll => (b) (c) (a): PostScript Language Reference, third edition, "roll".
    assert program(make, f"{{3 {turn} roll}}", 3, 3)([1, 2, 3]) == pytest.approx(expected)


def test_rows_that_take_different_ways_come_back_in_their_places(make):
    found = program(make, "{dup 0.5 gt {1 exch sub dup 0.25 lt {10 mul} if} {2 mul} ifelse}")
    rows = np.linspace(0, 1, 101)
    high = 1 - rows
    expected = np.where(rows > 0.5, np.where(high < 0.25, 10 * high, high), 2 * rows)
    assert found(rows[:, None])[:, 0] == pytest.approx(expected)


def test_rows_that_move_the_stack_differently(make):
    found = program(make, "{cvi 10 20 30 4 -1 roll index}")
    assert found([[0.0], [2.0], [1.0], [2.0]])[:, 0].tolist() == [30, 10, 20, 10]


def test_no_rows(make):
    assert program(make, "{dup 0.5 gt {pop 1} if}")(np.empty((0, 1))).shape == (0, 1)


@pytest.mark.parametrize(
    "text",
    [
        "{0 div}",
        "{pop 1 0 idiv}",
        "{-1 mul sqrt}",
        "{0 mul ln}",
        "{pop}",
        "{add}",
        "{true add}",
        "{if}",
        "{1 idiv}",
        "{5 index}",
        "{-1 copy}",
        "{2 {1} if}",
        "{pop 0 0 atan}",
        "{pop -1 0.5 exp}",
        "{pop 1e30 cvi}",
        "{pop 300 -1 roll}",
    ],
)
def test_programs_that_fail_when_run(make, text):
    with pytest.raises(FunctionError):
        program(make, text)([1.0])


@pytest.mark.parametrize(
    "text",
    ["", "dup", "{dup", "{dup}}", "{dup} dup", "{{dup}}", "{nought}", "{(text)}", "{" * 200 + "}" * 200],
)
def test_programs_that_cannot_be_read(make, text):
    with pytest.raises(FunctionError):
        program(make, text)


def test_a_program_cannot_fill_the_memory(make):
    with pytest.raises(FunctionError, match="256"):
        program(make, "{" + "dup " * 300 + "}")([1.0])
    with pytest.raises(FunctionError, match="longer"):
        program(make, "{" + "dup pop " * 20_000 + "}")


def test_a_long_program_ends_when_the_time_is_over(make, monkeypatch):
    found = program(make, "{" + "dup pop " * 9000 + "}")
    assert found([0.5]) == pytest.approx([0.5])
    monkeypatch.setattr(time, "monotonic", lambda: 1e12)
    with pytest.raises(Unreadable):
        found([0.5])


@pytest.mark.parametrize(
    "text",
    [
        "null",
        "[]",
        "<< >>",
        "<< /FunctionType 1 /Domain [0 1] >>",
        "<< /FunctionType /2 /Domain [0 1] >>",
        "<< /FunctionType 2 /N 1 >>",
        "<< /FunctionType 2 /Domain [0] /N 1 >>",
        "<< /FunctionType 2 /Domain [1 0] /N 1 >>",
        "<< /FunctionType 2 /Domain [0 1] >>",
        "<< /FunctionType 2 /Domain [0 1] /C0 [1 2] /N 1 >>",
        "<< /FunctionType 2 /Domain [-1 1] /N 0.5 >>",
        "<< /FunctionType 2 /Domain [0 1] /N -1 >>",
        "<< /FunctionType 3 /Domain [0 1] /Functions [] /Bounds [] /Encode [] >>",
        "<< /FunctionType 3 /Domain [0 1] /Bounds [] /Encode [0 1] >>",
        "<< /FunctionType 3 /Domain [0 1] /Functions [<< /FunctionType 2 /Domain [0 1] /N 1 >>] /Bounds [0.5] /Encode [0 1] >>",
        "<< /FunctionType 0 /Domain [0 1] /Range [0 1] /Size [2] /BitsPerSample 8 >>",
        "[<< /FunctionType 2 /Domain [0 1] /N 1 >> 7]",
    ],
)
def test_damaged_functions(make, text):
    with pytest.raises(FunctionError):
        make(text)


@pytest.mark.parametrize(
    "entries",
    [
        "/Size [2] /BitsPerSample 7",
        "/Size [0] /BitsPerSample 8",
        "/Size [2 2] /BitsPerSample 8",
        "/Size [20] /BitsPerSample 8",
        "/Size [100000000] /BitsPerSample 8",
        "/Size [2] /BitsPerSample 8 /Encode [0]",
        "/BitsPerSample 8",
    ],
)
def test_damaged_tables(make, entries):
    with pytest.raises(FunctionError):
        make(f"<< /FunctionType 0 /Domain [0 1] /Range [0 1] {entries} >>", bytes(4))


def test_functions_that_hold_themselves_are_refused():
    pdf = pikepdf.new()
    value = pdf.make_indirect(
        pikepdf.Object.parse(b"<< /FunctionType 3 /Domain [0 1] /Bounds [] /Encode [0 1] >>")
    )
    value.Functions = pikepdf.Array([value])
    with pytest.raises(FunctionError, match="deep"):
        function_of(value, Streams(Limits(), Deadline(60)))


def test_functions_that_name_each_other_ever_so_often_are_refused():
    pdf = pikepdf.new()
    value = pdf.make_indirect(pikepdf.Array([]))
    value.extend([value] * 60)
    with pytest.raises(FunctionError):
        function_of(value, Streams(Limits(), Deadline(60)))
    leaf = pikepdf.Object.parse(b"<< /FunctionType 2 /Domain [0 1] /N 1 >>")
    for _ in range(6):
        leaf = pdf.make_indirect(pikepdf.Array([leaf] * 10))
    with pytest.raises(FunctionError, match="more than"):
        function_of(leaf, Streams(Limits(), Deadline(60)))


def test_a_row_of_the_wrong_width_is_refused(make):
    found = make("<< /FunctionType 2 /Domain [0 1] /N 1 >>")
    with pytest.raises(FunctionError):
        found([0.5, 0.5])
    with pytest.raises(FunctionError):
        found(0.5)
