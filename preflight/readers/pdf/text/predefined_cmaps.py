"""The CMaps that PDF names instead of holding them (ISO 32000-1, table 118): how their codes split, in which encoding.

What CIDs their codes lead to takes large tables, which are not kept: a font's widths then come from PDFium, which has them.
"""

from __future__ import annotations

from preflight.readers.pdf.text.cmaps import CMap, Space

__all__ = ["predefined_cmap"]


def _space(low: str, high: str) -> Space:
    return len(low) // 2, bytes.fromhex(low), bytes.fromhex(high)


_ONE = _space("00", "80")
_SHIFT_JIS = [_ONE, _space("a0", "df"), _space("8140", "9ffc"), _space("e040", "fcfc")]
_UTF16 = [_space("0000", "d7ff"), _space("e000", "ffff"), _space("d800dc00", "dbffdfff")]

_FAMILIES: tuple[tuple[str, list[Space], str | None], ...] = (
    # A part of the name, code spaces, Python's codec. The first that fits counts. The code spaces are those of the
    # encodings themselves, from memory.
    ("UTF16", _UTF16, "utf-16-be"),
    ("UTF32", [_space("00000000", "0010ffff")], "utf-32-be"),
    ("UCS2", [_space("0000", "ffff")], "utf-16-be"),
    ("RKSJ", _SHIFT_JIS, "cp932"),
    ("GBK2K", [_ONE, _space("8140", "fefe"), _space("81308130", "fe39fe39")], "gb18030"),
    ("GBK", [_ONE, _space("8140", "fefe")], "gbk"),
    ("GBpc-EUC", [_ONE, _space("fd", "ff"), _space("a1a1", "fcfe")], "gbk"),
    ("GB-EUC", [_ONE, _space("a1a1", "fefe")], "gbk"),
    ("HKscs-B5", [_ONE, _space("8740", "fefe")], "big5hkscs"),
    ("B5pc", [_ONE, _space("fd", "ff"), _space("a140", "fcfe")], "big5"),
    ("-B5", [_ONE, _space("a140", "fefe")], "cp950"),
    ("CNS-EUC", [_ONE, _space("a1a1", "fefe"), _space("8ea1a1a1", "8ea7fefe")], None),
    ("KSCpc-EUC", [_space("00", "84"), _space("fe", "ff"), _space("a141", "fdfe")], "cp949"),
    ("KSC-EUC", [_ONE, _space("a1a1", "fefe")], "cp949"),
    ("UHC", [_ONE, _space("8141", "fefe")], "cp949"),
    ("Johab", [_ONE, _space("8431", "d3fe"), _space("d831", "f9fe")], "johab"),
    ("EUC", [_ONE, _space("8ea0", "8edf"), _space("a1a1", "fefe")], "euc_jp"),
)


def predefined_cmap(name: str) -> CMap | None:
    """The CMap of a name, or None where the standard has none like it."""
    vertical = name == "V" or name.endswith("-V")
    if name in ("Identity-H", "Identity-V"):
        return CMap(spaces=[_space("0000", "ffff")], vertical=vertical, identity=True)
    if name in ("H", "V"):  # JIS X 0208, whose bytes lie 128 lower than in EUC
        return CMap(spaces=[_space("2121", "7e7e")], vertical=vertical, codec="euc_jp", shifted=True)
    if not name.endswith(("-H", "-V")):
        return None
    for part, spaces, codec in _FAMILIES:
        if part in name:
            # Without a codec of Python's the CIDs are none the less unknown: "ascii" tells at least those letters.
            return CMap(spaces=sorted(spaces), vertical=vertical, codec=codec or "ascii")
    return None
