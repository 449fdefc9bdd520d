"""Characters of glyph names, and of the codes of simple fonts (ISO 32000-1, annex D). Knows no font.

Names are worked out where they follow a rule (letters with accents, ``uni20AC``, Greek letters); the table holds
the others that annex D lists.
"""

from __future__ import annotations

import re
import unicodedata

__all__ = ["base_encoding", "character"]

_ACCENTS = {
    "acute": "\u0301",
    "breve": "\u0306",
    "caron": "\u030c",
    "cedilla": "\u0327",
    "circumflex": "\u0302",
    "commaaccent": "\u0326",
    "dieresis": "\u0308",
    "dotaccent": "\u0307",
    "grave": "\u0300",
    "hungarumlaut": "\u030b",
    "macron": "\u0304",
    "ogonek": "\u0328",
    "ring": "\u030a",
    "tilde": "\u0303",
}

_TABLE = """
exclam ! quotedbl " numbersign # dollar $ percent % ampersand & quotesingle ' parenleft ( parenright )
asterisk * plus + comma , hyphen - period . slash / zero 0 one 1 two 2 three 3 four 4 five 5 six 6 seven 7 eight 8
nine 9 colon : semicolon ; less < equal = greater > question ? at @ bracketleft [ backslash \\ bracketright ]
asciicircum ^ underscore _ grave ` braceleft { bar | braceright } asciitilde ~
exclamdown ¡ cent ¢ sterling £ currency ¤ yen ¥ brokenbar ¦ section § dieresis ¨ copyright © ordfeminine ª
guillemotleft « logicalnot ¬ registered ® macron ¯ degree ° plusminus ± twosuperior ² threesuperior ³ acute ´
mu µ paragraph ¶ periodcentered · cedilla ¸ onesuperior ¹ ordmasculine º guillemotright » onequarter ¼ onehalf ½
threequarters ¾ questiondown ¿ AE Æ ae æ Eth Ð eth ð Oslash Ø oslash ø Thorn Þ thorn þ germandbls ß multiply ×
divide ÷ Lslash Ł lslash ł OE Œ oe œ dotlessi ı florin ƒ circumflex ˆ tilde ˜ caron ˇ breve ˘ dotaccent ˙ ring ˚
ogonek ˛ hungarumlaut ˝ endash – emdash — quoteleft ‘ quoteright ’ quotesinglbase ‚ quotedblleft “ quotedblright ”
quotedblbase „ dagger † daggerdbl ‡ bullet • ellipsis … perthousand ‰ guilsinglleft ‹ guilsinglright › fraction ⁄
Euro € trademark ™ minus − fi ﬁ fl ﬂ ff ﬀ ffi ﬃ ffl ﬄ partialdiff ∂ summation ∑ product ∏ radical √ infinity ∞
integral ∫ approxequal ≈ notequal ≠ lessequal ≤ greaterequal ≥ lozenge ◊ apple \uf8ff Omega \u2126 Delta ∆ pi π
kgreenlandic ĸ Eng Ŋ eng ŋ Hbar Ħ hbar ħ Tbar Ŧ tbar ŧ Dcroat Đ dcroat đ IJ Ĳ ij ĳ Ldot Ŀ ldot ŀ napostrophe ŉ
sfthyphen \u00ad softhyphen \u00ad
sigma1 ς theta1 ϑ phi1 ϕ omega1 ϖ Upsilon1 ϒ
"""

_GREEK = [
    "Alpha",
    "Beta",
    "Gamma",
    "Epsilon",
    "Zeta",
    "Eta",
    "Theta",
    "Iota",
    "Kappa",
    "Lambda",
    "Mu",
    "Nu",
    "Xi",
    "Omicron",
    "Pi",
    "Rho",
    "Sigma",
    "Tau",
    "Upsilon",
    "Phi",
    "Chi",
    "Psi",
    "alpha",
    "beta",
    "gamma",
    "delta",
    "epsilon",
    "zeta",
    "eta",
    "theta",
    "iota",
    "kappa",
    "lambda",
    "nu",
    "xi",
    "omicron",
    "rho",
    "sigma",
    "tau",
    "upsilon",
    "phi",
    "chi",
    "psi",
    "omega",
]

_STANDARD_HIGH = {
    0xA1: "¡¢£⁄¥ƒ§¤'“«‹›ﬁﬂ",
    0xB1: "–†‡·",
    0xB6: "¶•‚„”»…‰",
    0xBF: "¿",
    0xC1: "`´ˆ˜¯˘˙¨",
    0xCA: "˚¸",
    0xCD: "˝˛ˇ—",
    0xE1: "Æ",
    0xE3: "ª",
    0xE8: "ŁØŒº",
    0xF1: "æ",
    0xF5: "ı",
    0xF8: "łøœß",
}
"""StandardEncoding from code 0xA1 on: the first code of each run, and its characters."""

_characters: dict[str, str] = {}


def character(name: str) -> str | None:
    """What a glyph of this name stands for, one or more characters; None where the name says nothing.

    Examples
    --------
    >>> character("Aring"), character("uni20AC"), character("f_i.alt"), character("g42")
    ('Å', '€', 'fi', None)
    """
    if not _characters:
        _fill()
    known = _characters.get(name)
    if known is not None:
        return known
    base = name.split(".")[0]
    parts = [_part(part) for part in base.split("_")] if base else [None]
    return "".join(part for part in parts if part is not None) if None not in parts else None


def _fill() -> None:
    words = _TABLE.split()
    # Blanks would not survive the splitting.
    _characters.update({"space": " ", "nbspace": "\u00a0", "nonbreakingspace": "\u00a0"})
    _characters.update(zip(words[::2], words[1::2], strict=True))
    for name in _GREEK:
        size = "CAPITAL" if name[0].isupper() else "SMALL"
        word = "LAMDA" if name.lower() == "lambda" else name.upper()
        _characters[name] = unicodedata.lookup(f"GREEK {size} LETTER {word}")


def _part(name: str) -> str | None:
    known = _characters.get(name)
    if known is not None:
        return known
    if len(name) == 1 and name.isascii() and name.isalpha():
        return name
    spelt = re.fullmatch(r"uni((?:[0-9A-Fa-f]{4})+)|u([0-9A-Fa-f]{4,6})", name)
    if spelt:
        return _spelt(spelt[1], spelt[2])
    accent = _ACCENTS.get(name[1:])
    if accent is not None and name[0].isascii() and name[0].isalpha():
        whole = unicodedata.normalize("NFC", name[0] + accent)
        return whole if len(whole) == 1 else None
    return None


def _spelt(units: str | None, single: str | None) -> str | None:
    numbers = [int(units[at : at + 4], 16) for at in range(0, len(units), 4)] if units else []
    if single:
        numbers = [int(single, 16)]
    if any(one > 0x10FFFF or 0xD800 <= one < 0xE000 for one in numbers):
        return None
    return "".join(map(chr, numbers))


def base_encoding(name: str) -> list[str | None] | None:
    """Characters of the 256 codes of an encoding by name; None where it is unknown."""
    if name == "WinAnsiEncoding":
        return [_decoded(code, "cp1252") or ("•" if code > 0x7E else None) for code in range(256)]
    if name == "MacRomanEncoding":
        return [_decoded(code, "mac_roman") for code in range(256)]
    if name == "StandardEncoding":
        return _standard()
    return None


def _decoded(code: int, codec: str) -> str | None:
    if code < 32 or code == 127:
        return None
    try:
        return bytes([code]).decode(codec)
    except UnicodeDecodeError:
        return None


def _standard() -> list[str | None]:
    found: list[str | None] = [chr(code) if 32 <= code < 127 else None for code in range(256)]
    found[0x27], found[0x60] = "’", "‘"
    for first, run in _STANDARD_HIGH.items():
        found[first : first + len(run)] = run
    return found
