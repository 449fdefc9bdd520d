"""The archive folder: single labels as customers sent them over the years, some in order and some not."""

from __future__ import annotations

import gzip
from dataclasses import replace

from demo_sheet import ferry_stickers as ferry
from demo_sheet import palette as ink
from demo_sheet import tea_stickers as tea
from demo_sheet.outline import Contour, Path, bounds
from demo_sheet.season import kiss_line
from demo_sheet.shapes import rectangle
from demo_sheet.sheet import Layer, Sheet, Sticker, Words, cut_line, placed
from demo_sheet.svg_writer import svg_text

_MARGIN = 12.0
_CARD = 5.0


def archive_files() -> dict[str, bytes]:
    """Every file of the archive by its name."""
    leaf = svg_text(_label(tea.leaf(), "A leaf label whose file broke off in the middle")).encode()
    salt = svg_text(_label(tea.salt(), "A salt tag in order, compressed")).encode()
    return {
        "honey-tag.svg": svg_text(_label(tea.honey(), "A honey tag in order")).encode(),
        "jam-tag-open.svg": svg_text(_open_label(tea.jam())).encode(),
        "leaf-broken-off.svg": leaf[: len(leaf) * 2 // 3],
        "salt-tag.svgz": gzip.compress(salt, mtime=0),
        "seal-live-text.svg": svg_text(_live_text()).encode(),
    }


def _label(sticker: Sticker, title: str) -> Sheet:
    """One label on a card of its own, the page just large enough."""
    x0, y0, x1, y1 = bounds(sticker.cut)
    width, height = x1 - x0 + 2 * _MARGIN, y1 - y0 + 2 * _MARGIN
    here = placed(sticker, _MARGIN - x0, _MARGIN - y0)
    card = rectangle(_CARD, _CARD, width - _CARD, height - _CARD, 3)
    return Sheet(
        title=title,
        about="The Kettle House and Quillsay Ferry, label archive.",
        width=width,
        height=height,
        swatches=(ink.KISS_CUT, ink.THROUGH_CUT),
        layers=(
            Layer("Print Art", (here.art,)),
            Layer("Kiss Cut", (kiss_line(here.name, here.cut),)),
            Layer("Through Cut", (cut_line("Card through cut", card, ink.THROUGH_CUT),)),
        ),
    )


def _open_label(sticker: Sticker) -> Sheet:
    """The closing side left undrawn."""
    sheet = _label(sticker, "A jam tag whose cut line is open along one side")
    x0, y0, *_ = bounds(sticker.cut)
    cut = sticker.cut.moved(_MARGIN - x0, _MARGIN - y0)
    opened = Path(tuple(Contour(c.start, c.segments) for c in cut.contours))
    art, _, through = sheet.layers
    return replace(sheet, layers=(art, Layer("Kiss Cut", (kiss_line(sticker.name, opened),)), through))


def _live_text() -> Sheet:
    """Words that still need their font."""
    sheet = _label(ferry.pennant_star(), "An envelope seal with live text")
    art, *cuts = sheet.layers
    words = Words("Seal words", "WITH LOVE", sheet.width / 2, sheet.height / 2 + 4, 2.2, ink.NAVY)
    return replace(sheet, layers=(replace(art, items=(*art.items, words)), *cuts))
