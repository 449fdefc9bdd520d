"""Small sound PDF files that use every part of the format, and ways to spoil them; all seeded, the same on every run."""

from __future__ import annotations

import io
import random
import re
import zlib

import pikepdf
from small_pdfs import one_page, stream

__all__ = ["SEEDS", "mutated", "spoilt"]

PATHS = """q 0.9 0 0 0.9 10 5 cm 2 w [4 2] 1 d 1 J 1 j 10 10 m 60 10 l 60 40 l h S
0 1 0 RG 1 0 0 rg 70 10 30 30 re B* Q
q 10 10 180 80 re W n 20 60 m 40 95 60 95 80 60 c 90 50 100 50 v 110 70 120 60 y b Q
0.2 0.4 0 0.1 k 0.5 g 150 50 20 30 re f 5 5 m 6 6 l 7 7 m s
""" + "".join(f"{x} {x % 50} m {x + 3} {x % 50 + 4} l S\n" for x in range(20))

COLOURS = """/CS0 cs 1 scn /CS0 CS 0.5 SCN 10 10 30 30 re B /CS1 cs 0.2 0.7 scn 50 10 30 30 re f*
/CS2 cs 3 sc 90 10 10 10 re f /CS3 cs 50 20 -20 sc 110 10 10 10 re f /CS4 cs 0.5 scn 130 10 10 10 re f
/Pattern cs /P0 scn 10 50 30 30 re f /P1 scn 50 50 30 30 re f q 90 50 50 40 re W n /S0 sh Q
/G0 gs 150 10 20 20 re f"""

COLOUR_RESOURCES = """/ColorSpace << /CS0 [/Separation /Kiss#20cut /DeviceCMYK 10 0 R] /CS1 [/DeviceN [/Cyan /Tea] /DeviceCMYK 11 0 R]
/CS2 [/Indexed /DeviceRGB 3 <000000FF000000FF000000FF>] /CS3 [/Lab << /WhitePoint [0.9642 1 0.8249] >>]
/CS4 [/Separation /All /DeviceGray 12 0 R] >>
/Pattern << /P0 13 0 R /P1 14 0 R >> /Shading << /S0 15 0 R >>
/ExtGState << /G0 << /OP true /op true /OPM 1 /ca 0.5 /BM /Multiply /SMask << /S /Luminosity /G 16 0 R >> >> >>"""

COLOUR_OBJECTS: dict[int, bytes | str] = {
    10: "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 1 0.5 0] /N 1 >>",
    11: stream(
        "{ dup 0.5 mul exch pop 0 0 3 1 roll 2 copy pop 0 }",
        "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1 0 1 0 1 0 1]",
    ),
    12: stream(
        bytes(range(0, 255, 64)), "/FunctionType 0 /Domain [0 1] /Range [0 1] /Size [4] /BitsPerSample 8"
    ),
    13: stream(
        "0 0 4 4 re f",
        "/PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 8 8] /XStep 8 /YStep 8 /Resources << >>",
    ),
    14: "<< /PatternType 2 /Shading 15 0 R >>",
    15: "<< /ShadingType 2 /ColorSpace /DeviceRGB /Coords [90 50 140 90] /Extend [true false] /Function 17 0 R >>",
    16: stream(
        "0 0 200 100 re f",
        "/Type /XObject /Subtype /Form /BBox [0 0 200 100] /Group << /S /Transparency /CS /DeviceGray >>",
    ),
    17: "<< /FunctionType 3 /Domain [0 1] /Functions [18 0 R 18 0 R] /Bounds [0.4] /Encode [0 1 1 0] >>",
    18: "<< /FunctionType 2 /Domain [0 1] /C0 [1 0 0] /C1 [0 0 1] /N 1.5 >>",
}

PARTS = """/OC /L0 BDC q 1 0 0 1 20 10 cm /F0 Do Q EMC /OC /L1 BDC /F1 Do EMC
q 40 0 0 30 100 10 cm /I0 Do Q
q 20 0 0 20 150 60 cm BI /W 4 /H 4 /BPC 8 /CS /G ID 0123456789abcdef EI Q
/Tag << /MCID 1 >> BDC BT /T0 12 Tf 1 0 0 1 20 80 Tm (Harbour) Tj 2 Tr [(tea) -120 (room)] TJ T* <4142> ' ET EMC"""

PART_RESOURCES = """/Properties << /L0 20 0 R /L1 22 0 R >> /XObject << /F0 23 0 R /F1 24 0 R /I0 25 0 R >> /Font << /T0 27 0 R >>"""

PART_OBJECTS: dict[int, bytes | str] = {
    20: "<< /Type /OCG /Name (Kiss cut) /GTS_Metadata << /GTS_ProcStepsGroup /Structural /GTS_ProcStepsType /PartialCutting >> >>",
    21: "<< /Type /OCG /Name (Art) /Usage << /Print << /PrintState /OFF >> >> >>",
    22: "<< /Type /OCMD /OCGs [20 0 R 21 0 R] /P /AllOn /VE [/And 20 0 R [/Not 21 0 R]] >>",
    23: stream(
        "0 0 30 20 re S /F1 Do",
        "/Type /XObject /Subtype /Form /BBox [0 0 40 40] /Matrix [1 0 0 1 5 5] /Resources << /XObject << /F1 24 0 R >> >>",
    ),
    24: stream("0 0 m 10 10 l 20 0 l h f", "/Type /XObject /Subtype /Form /BBox [0 0 40 40]"),
    25: stream(
        zlib.compress(bytes(range(48))),
        "/Type /XObject /Subtype /Image /Width 4 /Height 4 /BitsPerComponent 8 /ColorSpace /DeviceRGB /Filter /FlateDecode /SMask 26 0 R",
    ),
    26: stream(
        bytes(16),
        "/Type /XObject /Subtype /Image /Width 4 /Height 4 /BitsPerComponent 8 /ColorSpace /DeviceGray",
    ),
    27: "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    28: "<< /Type /Annot /Subtype /Stamp /Rect [10 10 60 30] /F 4 /AP << /N 24 0 R >> >>",
}

PART_CATALOG = """/OCProperties << /OCGs [20 0 R 21 0 R] /D << /Order [20 0 R [21 0 R]] /OFF [21 0 R]
/AS [<< /Event /Print /OCGs [21 0 R] /Category [/Print] >>] >> >>"""


def _saved(data: bytes, **how: object) -> bytes:
    """The same document as another program would write it."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        pdf.save(out, static_id=True, **how)  # type: ignore[arg-type]
    return out.getvalue()


def _seeds() -> dict[str, bytes]:
    paths = one_page(PATHS)
    colours = one_page(COLOURS, resources=COLOUR_RESOURCES, others=COLOUR_OBJECTS)
    parts = one_page(
        PARTS,
        page="/MediaBox [0 0 200 100] /TrimBox [5 5 195 95] /Annots [28 0 R]",
        resources=PART_RESOURCES,
        catalog=PART_CATALOG,
        others=PART_OBJECTS,
    )
    return {
        "paths": paths,
        "colours": colours,
        "parts": parts,
        "packed": _saved(parts, object_stream_mode=pikepdf.ObjectStreamMode.generate, recompress_flate=True),
        "locked": _saved(
            paths, encryption=pikepdf.Encryption(owner="", user="", R=3, aes=False, metadata=False)
        ),
    }


SEEDS = _seeds()

_NASTY = [
    *(
        "-1",
        "0",
        "1",
        "99999999999",
        "-2147483649",
        "1e400",
        "0.0000001",
        "--5",
        "4..5",
        "null",
        "true",
        "3 0 R",
        "4 0 R",
        "99 0 R",
    ),
    *(
        "[",
        "]",
        "<<",
        ">>",
        "(",
        ")",
        "<",
        "/",
        "%",
        "q",
        "Q",
        "BT",
        "ET",
        "BI",
        "EI",
        "Do",
        "endstream",
        "endobj",
        "/F0",
        "/CS0",
    ),
]


def mutated(seed: int) -> tuple[str, bytes]:
    """The name of a sound file, and the file spoilt in a way that hangs on the number only."""
    chance = random.Random(seed)  # noqa: S311 - nothing secret
    name = chance.choice(list(SEEDS))
    return name, spoilt(SEEDS[name], chance)


def spoilt(sound: bytes, chance: random.Random) -> bytes:
    """A file spoilt in one or several of the ways below."""
    data = bytearray(sound)
    for _ in range(chance.choice((1, 1, 1, 2, 4, 10))):
        chance.choice(_WAYS)(data, chance)
    return bytes(data)


def _flip(data: bytearray, chance: random.Random) -> None:
    for _ in range(chance.choice((1, 3, 20))):
        data[chance.randrange(9, len(data))] = chance.randrange(256)


def _delete(data: bytearray, chance: random.Random) -> None:
    start = chance.randrange(9, len(data))
    del data[start : start + chance.choice((1, 2, 10, 200))]


def _repeat(data: bytearray, chance: random.Random) -> None:
    start = chance.randrange(9, len(data))
    piece = data[start : start + chance.choice((1, 5, 40, 400))]
    data[start:start] = piece * chance.choice((1, 2, 50))


def _cut_off(data: bytearray, chance: random.Random) -> None:
    del data[chance.randrange(len(data) // 3, len(data)) :]


def _number(data: bytearray, chance: random.Random) -> None:
    places = [match.span() for match in re.finditer(rb"-?\d+(?:\.\d+)?", data)]
    start, end = chance.choice(places)
    data[start:end] = chance.choice(_NASTY).encode()


def _token(data: bytearray, chance: random.Random) -> None:
    places = [match.span() for match in re.finditer(rb"[^\s/\[\]<>()]+", data)]
    start, end = chance.choice(places)
    data[start:end] = chance.choice(_NASTY).encode()


def _name(data: bytearray, chance: random.Random) -> None:
    places = [match.span() for match in re.finditer(rb"/[A-Za-z0-9]+", data)]
    if len(places) > 1:
        (start, end), (first, last) = chance.sample(places, 2)
        data[start:end] = bytes(data[first:last])


def _reference(data: bytearray, chance: random.Random) -> None:
    places = [match.span() for match in re.finditer(rb"\d+ 0 R", data)]
    if places:
        start, end = chance.choice(places)
        data[start:end] = b"%d 0 R" % chance.randrange(1, 30)


_WAYS = (_flip, _delete, _repeat, _cut_off, _number, _number, _token, _name, _reference, _reference)
