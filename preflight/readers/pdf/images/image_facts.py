"""What an image's dictionary says (ISO 32000-1, 8.9.5), held against its bytes. Knows no page; draws nothing.

Pixels are decoded only when somebody asks where the image is clear. The dictionary's size counts, as it does for viewers; where the picture's own header says
something else, that is a fault of the file.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pikepdf

from preflight.artwork.model import NO_PAINT, Paint, PaintKind, Raster
from preflight.readers.pdf.colours.colour_space import ColourSpace
from preflight.readers.pdf.colours.ink_spaces import named_inks
from preflight.readers.pdf.colours.special_spaces import PatternSpace
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.lzw import early_change
from preflight.readers.pdf.document.values import entry, name_text, number, numbers, text
from preflight.readers.pdf.images.image_bytes import (
    BITS,
    LOSSLESS,
    PICTURES,
    jpeg_2000_pixels,
    jpeg_pixels,
    picture_fault,
    sample_fault,
    unwrapped,
)

__all__ = ["Bytes", "ImageFacts", "image_facts"]

Bytes = Callable[[], bytes]
"""Gives an image's bytes, packed as they are."""

_ABBREVIATED = {
    "AHx": "ASCIIHexDecode",
    "A85": "ASCII85Decode",
    "LZW": "LZWDecode",
    "Fl": "FlateDecode",
    "RL": "RunLengthDecode",
    "CCF": "CCITTFaxDecode",
    "DCT": "DCTDecode",
}
"""ISO 32000-1, table 94."""


class ImageFacts(msgspec.Struct):
    """What is known of an image.

    Attributes
    ----------
    pixels : (columns, rows), or None.
    paint : what a rule can go by where its pixels are inks with names; `NO_PAINT` for all others.
    stencil : it is painted in the fill paint in force.
    linked : the file that holds its content, or None.
    left : that its content is in another file, which is not opened, or None.
    broken : why it cannot be shown as meant, or None.
    decode : gives the opacity of its pixels where it has a mask; see `preflight.readers.pdf.images.image_alpha`.
    inks : gives the process inks of its pixels where it has them; see `preflight.readers.pdf.images.image_inks`.
    faults, unmodelled : further sentences.
    """

    pixels: tuple[int, int] | None = None
    raster: Raster = Raster()
    paint: Paint = NO_PAINT
    stencil: bool = False
    linked: str | None = None
    left: str | None = None
    broken: str | None = None
    decode: Callable[[], Any] | None = None
    inks: Callable[[int, int], Any] | None = None
    faults: list[str] = msgspec.field(default_factory=list)
    unmodelled: list[str] = msgspec.field(default_factory=list)


def image_facts(
    holder: Any, raw: Bytes, space_of: Callable[[Any], ColourSpace], context: Context
) -> ImageFacts:
    """Look at an image.

    Parameters
    ----------
    holder : its stream, or its dictionary with the keys spelt out.
    space_of : the colour space that a value of ``/ColorSpace`` stands for.
    """
    facts = ImageFacts(stencil=entry(holder, "/ImageMask") is True)
    columns, rows = (_whole(entry(holder, key)) for key in ("/Width", "/Height"))
    filters = _filters(holder)
    packing = filters[-1] if filters and filters[-1] in PICTURES else None
    if columns is None or rows is None:
        facts.broken = "the image states no size in pixels"
    else:
        facts.pixels = (columns, rows)
    space = _space(holder, facts, packing, space_of)
    bits = _bits(holder, facts, packing)
    mask = _mask(holder, facts, space, bits)
    facts.raster = Raster(space.name if space is not None else None, bits, mask)
    _decode(holder, facts, space)
    _further(holder, facts)
    if mask is not None and facts.linked is None:
        from preflight.readers.pdf.images.image_alpha import decoder_of

        components = space.components if space is not None else None
        facts.decode = decoder_of(holder, raw, mask, filters, components, context.limits)
    if space is not None and space.name == "device-cmyk" and facts.linked is None:
        from preflight.readers.pdf.images.image_inks import ink_decoder_of

        facts.inks = ink_decoder_of(holder, raw, filters, context.limits)
    if facts.pixels is not None:
        if facts.pixels[0] * facts.pixels[1] > context.limits.image_pixels:
            message = (
                f"An image of {columns:,} × {rows:,} pixels is above the limit; its content is not judged."
                " [limits] image_pixels in the profile raises it."
            )
            facts.unmodelled.append(message)
        else:
            _look_at_bytes(holder, facts, raw, filters, space, context)
    return facts


def _whole(value: Any) -> int | None:
    found = number(value)
    return int(found) if found is not None and 1 <= found < 2**31 else None


def _filters(holder: Any) -> list[str]:
    given = entry(holder, "/Filter")
    names = [name_text(one) for one in given] if isinstance(given, pikepdf.Array) else [name_text(given)]
    return [_ABBREVIATED.get(name, name) for name in names if name is not None and name != "Crypt"]


def _space(
    holder: Any, facts: ImageFacts, packing: str | None, space_of: Callable[[Any], ColourSpace]
) -> ColourSpace | None:
    """The colour space, or None where the image has none of its own; the paint follows from it."""
    given = entry(holder, "/ColorSpace")
    if facts.stencil:
        return None
    if given is None:
        if packing != "JPXDecode":  # JPEG 2000 may bring its own (table 89)
            facts.faults.append("The image has no colour space")
        return None
    space = space_of(given)
    if isinstance(space, PatternSpace):
        facts.faults.append("The colour space of an image is one of patterns, which cannot be")
        return None
    if space.colorants:
        # Which tints its pixels have is not looked at: full ones are the safe side.
        named = named_inks(space.colorants, (1.0,) * len(space.colorants))
        if named is not None:
            facts.paint = Paint(PaintKind.PATTERN, None, named.spot, named.tint, inks=named.inks)
    return space


def _bits(holder: Any, facts: ImageFacts, packing: str | None) -> int | None:
    given = _whole(entry(holder, "/BitsPerComponent"))
    if facts.stencil or packing in ("CCITTFaxDecode", "JBIG2Decode"):
        known: int | None = 1
    elif packing == "DCTDecode":
        known = 8
    elif packing == "JPXDecode":
        return given if given in BITS else None  # of no weight there: the picture says it itself (table 89)
    else:
        known = None
    if known is None and given not in BITS:
        facts.faults.append("The image states no valid number of bits for a component; 8 is assumed")
        return 8
    if known is not None and given is not None and given != known:
        facts.faults.append(f"The image states {given} bits for a component where its kind has {known}")
    return known or given


def _mask(holder: Any, facts: ImageFacts, space: ColourSpace | None, bits: int | None) -> str | None:
    """What leaves out parts of the image."""
    soft, hard = entry(holder, "/SMask"), entry(holder, "/Mask")
    mask: str | None = None
    if facts.stencil:
        mask = "stencil"
        if soft is not None or hard is not None:
            facts.faults.append("A stencil has a mask of its own, which is left out")
    elif isinstance(soft, pikepdf.Stream) or (_whole(entry(holder, "/SMaskInData")) or 0) in (1, 2):
        mask = "soft"
        if entry(soft, "/Matte") is not None or _whole(entry(holder, "/SMaskInData")) == 2:
            facts.unmodelled.append("The colours of an image are mixed with a background already (Matte).")
    elif isinstance(hard, pikepdf.Stream):
        mask = "explicit"
        if entry(hard, "/ImageMask") is not True:
            facts.faults.append("The mask of an image is no mask")
    elif isinstance(hard, pikepdf.Array):
        mask = _colour_key(hard, facts, space, bits)
    elif hard is not None or (soft is not None and name_text(soft) != "None"):
        facts.faults.append("The mask of an image is damaged and left out")
    return mask


def _colour_key(
    mask: pikepdf.Array, facts: ImageFacts, space: ColourSpace | None, bits: int | None
) -> str | None:
    """ISO 32000-1, 8.9.6.4: a lowest and a highest number for each component."""
    found = numbers(mask)
    components = space.components if space is not None else None
    top = 2 ** (bits or 16) - 1
    if (
        found is None
        or (components and len(found) != 2 * components)
        or not all(0 <= one <= top for one in found)
    ):
        facts.faults.append("The colours that an image leaves out are damaged")
        return "colour-key" if found else None
    return "colour-key"


def _decode(holder: Any, facts: ImageFacts, space: ColourSpace | None) -> None:
    given = entry(holder, "/Decode")
    if given is None:
        return
    found = numbers(given)
    wanted = 2 if facts.stencil else 2 * space.components if space is not None else None
    if found is None or (wanted and len(found) != wanted):
        facts.faults.append("The decode array of an image is damaged and left out")
    elif facts.stencil and sorted(found) != [0.0, 1.0]:
        facts.faults.append("The decode array of a stencil holds something other than 0 and 1")


def _further(holder: Any, facts: ImageFacts) -> None:
    """What may put another image in this one's place."""
    file = entry(holder, "/F")
    if file is not None and isinstance(holder, pikepdf.Stream):
        name = (text(entry(file, "/UF")) or text(entry(file, "/F")) or text(file) or "without a name")[:200]
        facts.linked = name
        facts.left = f"The content of an image is kept in the file “{name}”, which is not opened."
    if entry(holder, "/OPI") is not None:
        facts.unmodelled.append(
            "An image stands for a finer one that is put in its place when printed (OPI)."
        )
    others = entry(holder, "/Alternates")
    if isinstance(others, pikepdf.Array) and any(entry(one, "/DefaultForPrinting") is True for one in others):
        facts.unmodelled.append("Another image is to be printed in place of this one; it is not looked at.")


def _look_at_bytes(
    holder: Any,
    facts: ImageFacts,
    raw: Bytes,
    filters: list[str],
    space: ColourSpace | None,
    context: Context,
) -> None:
    if facts.linked is not None:
        return
    strange = [name for name in filters if name not in LOSSLESS and name not in PICTURES]
    if strange:
        facts.broken = f"the image is packed in a way that is unknown (“{strange[0][:40]}”)"
        return
    try:
        data = raw()
    except (pikepdf.PdfError, ValueError, RuntimeError) as error:
        facts.broken = facts.broken or f"the image's content cannot be read ({type(error).__name__})"
        return
    wrong = _fault_of(holder, facts, data, filters, space, context)
    if wrong is not None:
        facts.broken = facts.broken or f"the image is damaged: {wrong}"


def _fault_of(
    holder: Any,
    facts: ImageFacts,
    data: bytes,
    filters: list[str],
    space: ColourSpace | None,
    context: Context,
) -> str | None:
    last = filters[-1] if filters else None
    inner = unwrapped(data, filters[:-1], context.limits.decompressed_size)
    if inner is None:
        if all(name in ("ASCII85Decode", "ASCIIHexDecode", "FlateDecode") for name in filters[:-1]):
            return "its content cannot be unpacked"
        facts.unmodelled.append(_UNTOLD)
        return None
    if last in PICTURES:
        own_size = {"DCTDecode": jpeg_pixels, "JPXDecode": jpeg_2000_pixels}
        own = own_size.get(last)
        pixels = own(inner) if own is not None else None
        if pixels is not None and pixels != facts.pixels and facts.pixels is not None:
            stated, held = ("{:,} × {:,}".format(*size) for size in (facts.pixels, pixels))
            facts.faults.append(f"An image states {stated} pixels and holds {held}")
        if last not in own_size:
            facts.unmodelled.append(_UNTOLD)
        return picture_fault(inner, last)
    if last in ("ASCII85Decode", "ASCIIHexDecode"):
        whole = unwrapped(inner, [last], 0)
        if whole is None:
            return "its content cannot be unpacked"
        inner, last = whole, None
    wanted = _sample_bytes(holder, facts, space)
    if last == "LZWDecode":
        if len(inner) > _MOST_LZW:
            facts.unmodelled.append(_UNTOLD)
            return None
        context.workload.take(len(inner) // 64)
    early = early_change(_last_parameters(holder))
    return None if wanted is None else sample_fault(inner, last, wanted, context.deadline.check, early)


_MOST_LZW = 1 << 20
"""Bytes of LZW that are counted; they are counted one by one."""
_UNTOLD = "Whether the content of an image is complete cannot be told, the way it is packed."


def _sample_bytes(holder: Any, facts: ImageFacts, space: ColourSpace | None) -> int | None:
    """Bytes of plain samples; each row starts with a byte of its own (8.9.5.2). None where they cannot be told."""
    components = 1 if facts.stencil else space.components if space is not None else 0
    if not components or facts.pixels is None or facts.raster.bits is None:
        return None
    columns, rows = facts.pixels
    tagged = (
        number(entry(_last_parameters(holder), "/Predictor")) or 1
    ) >= 10  # PNG's predictors have a byte before each row
    return ((columns * components * facts.raster.bits + 7) // 8 + tagged) * rows


def _last_parameters(holder: Any) -> Any:
    """What the dictionary says of the innermost packing."""
    parms = entry(holder, "/DecodeParms")
    if isinstance(parms, pikepdf.Array):
        return parms[len(parms) - 1] if len(parms) else None
    return parms
