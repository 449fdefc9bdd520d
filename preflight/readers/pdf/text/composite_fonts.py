"""Fonts whose codes are one to four bytes: Type 0 with a CID-keyed font below (ISO 32000-1, 9.7). Knows no page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pikepdf

from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, name_text, number, numbers
from preflight.readers.pdf.text.cmaps import CMap, Key, parsed_cmap
from preflight.readers.pdf.text.fonts import Font, Glyph
from preflight.readers.pdf.text.predefined_cmaps import predefined_cmap

__all__ = ["CompositeFont"]

_MOST_CIDS = 70_000
"""CIDs of a font: there are 65,536 at most (annex C)."""
_LINE_ABOVE = (0.88, -1.0)
"""Height of the origin of vertical writing, and how far it moves on: the default of DW2 (table 117)."""

Group = tuple[int, int, list[float]]
Vertical = tuple[float, float, float]
"""How far it moves on, and its origin, x and y."""


class CompositeFont(Font):
    """A font whose CMap leads from codes to glyphs of its descendant."""

    def __init__(self, dictionary: Any, context: Context) -> None:
        descendants = entry(dictionary, "/DescendantFonts")
        first = descendants[0] if isinstance(descendants, pikepdf.Array) and len(descendants) else None
        self._descendant = first if isinstance(first, pikepdf.Dictionary) else None
        super().__init__(dictionary, context)
        if self._descendant is None:
            self.fault(f"The font “{self.name}” lacks its descendant.")
        self._cmap = self._read_cmap(entry(dictionary, "/Encoding"), 0)
        self.vertical = bool(self._cmap.vertical)
        stated = number(entry(self._descendant, "/DW"))
        self._usual = 1.0 if stated is None else stated / 1000.0
        self._widths = _horizontal(entry(self._descendant, "/W"))
        self._verticals: dict[int, Vertical] = {}
        self._usual_vertical = _LINE_ABOVE
        if self.vertical:
            given = numbers(entry(self._descendant, "/DW2"))
            if given is not None and len(given) == 2:
                self._usual_vertical = (given[0] / 1000.0, given[1] / 1000.0)
            self._verticals = _vertical(entry(self._descendant, "/W2"))

    def _descriptor(self) -> Any:
        return entry(self._descendant, "/FontDescriptor")

    def _read_cmap(self, given: Any, depth: int) -> CMap:
        name = name_text(given)
        if name is not None:
            known = predefined_cmap(name)
            if known is not None:
                return known
            self.fault(f"The font “{self.name}” names a CMap that does not exist (“{name[:40]}”).")
        elif isinstance(given, pikepdf.Stream):
            unpacked = self._streams.unpacked(given)
            if unpacked.fault:
                self.fault(f"The CMap of the font “{self.name}” is not all read. {unpacked.fault}.")
            found = parsed_cmap(unpacked.data)
            if found.vertical is None and number(entry(given, "/WMode")) is not None:
                found.vertical = number(entry(given, "/WMode")) == 1
            self._build_on(found, entry(given, "/UseCMap"), depth)
            return found
        else:
            self.fault(f"The font “{self.name}” lacks its CMap; its codes are taken for glyph numbers.")
        return predefined_cmap("Identity-H") or CMap(identity=True)

    def _build_on(self, cmap: CMap, used: Any, depth: int) -> None:
        """Add what a CMap takes from another one."""
        if used is None and cmap.uses is not None:
            used = pikepdf.Name(f"/{cmap.uses}")
        if used is None or depth > 4:
            return
        below = self._read_cmap(used, depth + 1)
        cmap.spaces = sorted({*cmap.spaces, *below.spaces})
        cmap.numbers = {**below.numbers, **cmap.numbers}
        cmap.ranges = [*below.ranges, *cmap.ranges]
        cmap.identity = cmap.identity or below.identity
        cmap.codec, cmap.shifted = cmap.codec or below.codec, cmap.shifted or below.shifted

    def glyphs(self, string: bytes) -> Iterator[Glyph]:
        """A glyph for each code."""
        for key in self._cmap.split(string):
            found = self._glyphs.get(key)
            if found is None:
                found = self._glyphs[key] = self._glyph(key)
            yield found

    def _glyph(self, key: Key) -> Glyph:
        length, code = key
        cid = self._cmap.cid(key)
        across = self.measured(code) if cid is None else self._widths.get(cid, self._usual)
        height, down = self._usual_vertical
        shift = (across / 2, height)
        own = self._verticals.get(cid) if cid is not None else None
        if own is not None:
            down, shift = own[0], (own[1], own[2])
        return Glyph(
            code,
            across,
            down,
            shift if self.vertical else (0.0, 0.0),
            self._text(key),
            # 9.3.3: a single byte of value 32 only.
            word_space=length == 1 and code == 32,
        )

    def _text(self, key: Key) -> str | None:
        if self.to_unicode is not None:
            known = self.to_unicode.characters.get(key)
            if known is None:  # some writers map codes of one byte length as if they had two
                known = next(
                    (
                        self.to_unicode.characters[size, key[1]]
                        for size in (2, 1)
                        if (size, key[1]) in self.to_unicode.characters
                    ),
                    None,
                )
            if known is not None:
                return known
        return self._cmap.character(key)


def _groups(given: Any, size: int) -> Iterator[Group]:
    """First CID, last CID and numbers of each group of ``/W`` (size 1) or ``/W2`` (size 3); 9.7.4.3.

    ``c [n …]`` gives numbers for one CID after the other, ``c d n`` the same for all.
    """
    items = list(given) if isinstance(given, pikepdf.Array) else []
    at = 0
    while at + 1 < len(items):
        first = number(items[at])
        if first is None or not 0 <= first < _MOST_CIDS:
            at += 1
            continue
        several = numbers(items[at + 1])
        if several is not None:
            for step in range(len(several) // size):
                cid = int(first) + step
                yield cid, cid, several[step * size : (step + 1) * size]
            at += 2
            continue
        last = number(items[at + 1])
        found = [number(one) for one in items[at + 2 : at + 2 + size]]
        kept = [one for one in found if one is not None]
        if last is not None and len(kept) == size:
            yield int(first), min(int(last), _MOST_CIDS), kept
        at += 2 + size


def _horizontal(given: Any) -> dict[int, float]:
    widths: dict[int, float] = {}
    for first, last, (width,) in _bounded(_groups(given, 1)):
        widths.update(dict.fromkeys(range(first, last + 1), width / 1000.0))
    return widths


def _vertical(given: Any) -> dict[int, Vertical]:
    found: dict[int, Vertical] = {}
    for first, last, (down, x, y) in _bounded(_groups(given, 3)):
        found.update(dict.fromkeys(range(first, last + 1), (down / 1000.0, x / 1000.0, y / 1000.0)))
    return found


def _bounded(groups: Iterator[Group]) -> Iterator[Group]:
    """Groups until they have named every CID several times over: a small file could name millions."""
    left = 4 * _MOST_CIDS
    for first, last, found in groups:
        left -= last - first + 1
        if left < 0:
            return
        yield first, last, found
