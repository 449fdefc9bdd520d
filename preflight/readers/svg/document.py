"""Bytes to an XML tree, within limits and without trusting the file. Knows XML; nothing of shapes or styles."""

from __future__ import annotations

import re
import zlib

import msgspec
from lxml import etree

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.svg.beginning import GZIP, text_of

__all__ = ["SVG", "XLINK", "Document", "parse", "unpacked"]

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"

_FIRST_STEP = 1024
"""Bytes taken at first from a packed part, then twice as many each time: what follows the part is handed back as a copy,
and a file of many small parts would be copied as often as it has parts."""

_DECLARATION = r"""^\s*<\?xml[^>]*\?>"""
_ODD_NAMESPACE = {99, 100}
"""libxml2's numbers for a namespace that is no address, which every viewer puts up with."""
_POSITION = r"(?s),? line \d+, column \d+.*$"


class Document(msgspec.Struct, frozen=True):
    """The tree and what had to be done to get it.

    ``namespaced`` is false where the root carries no SVG namespace (browsers then show nothing).
    ``head`` is the start of the file as text: programs leave their mark there.
    """

    root: etree._Element
    namespaced: bool
    head: str


def parse(data: bytes, limits: Limits) -> Document:
    """Read the tree.

    Raises
    ------
    Unreadable
        Empty, not XML, not SVG, external or exploding entities, or over a limit.
    """
    data = unpacked(data, limits)
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise Unreadable("The file is empty", None, "Export the artwork again.")
    if b"ENTITY" in data or (b"E\x00N\x00T\x00I\x00T\x00Y" in data):
        text = _entities_replaced(text_of(data), limits)
        # The declaration names the encoding of the bytes we no longer hand over.
        data = re.sub(_DECLARATION, "", text, count=1).encode("utf-8")
    _count_elements(data, limits)
    root = _tree(data)
    namespaced = _checked_root(root)
    return Document(root, namespaced, text_of(data[:4096]))


def unpacked(data: bytes, limits: Limits) -> bytes:
    """The document itself, whether stored plain or compressed.

    Raises
    ------
    Unreadable
        Too large, too large once unpacked, or the packing is damaged.
    """
    if len(data) > limits.file_size:
        raise Unreadable(
            f"The file is {len(data) / 1e6:.0f} MB, above the limit of {limits.file_size / 1e6:.0f} MB",
            None,
            "Take large images out, or raise [limits] file_size in the profile.",
        )
    if not data.startswith(GZIP):
        return data
    parts: list[bytes] = []
    at, left = 0, limits.decompressed_size
    while data.startswith(GZIP, at):
        unpacker, step = zlib.decompressobj(31), _FIRST_STEP
        while not unpacker.eof:
            if at == len(data):
                raise Unreadable("The compressed file is cut off", None, "Export or copy the file again.")
            given = data[at : at + step]
            try:
                part = unpacker.decompress(given, left + 1)
            except zlib.error as error:
                raise Unreadable(
                    "The file is compressed and its packing is damaged", None, "Export the artwork again."
                ) from error
            if len(part) > left:
                raise Unreadable(
                    f"The file unpacks to more than the limit of {limits.decompressed_size / 1e6:.3g} MB",
                    None,
                    "Save it uncompressed and make it smaller, or raise [limits] decompressed_size in the profile.",
                )
            parts.append(part)
            left -= len(part)
            at += len(given) - len(unpacker.unused_data)
            step *= 2
    return b"".join(parts)


def _count_elements(data: bytes, limits: Limits) -> None:
    """Refuse more elements than the limit before they are a tree, which takes thirty times the room of the file.

    Counted is what begins with ``<`` and no more; what a comment holds counts as well.
    """
    if b"\0" in data[:64]:
        data = data.replace(b"\0", b"")  # two bytes to a character
    if data.count(b"<") <= limits.elements:
        return
    count = data.count(b"<") - data.count(b"</") - data.count(b"<!") - data.count(b"<?")
    if count > limits.elements:
        raise Unreadable(
            f"The file holds {count:,} elements, above the limit of {limits.elements:,}",
            None,
            "Simplify the artwork, or raise [limits] elements in the profile.",
        )


def _entities_replaced(text: str, limits: Limits) -> str:
    if "<!DOCTYPE" not in text:
        return text  # most files: what deals with entities is not even imported for them
    from preflight.readers.svg.entities import replace_entities

    return replace_entities(text, limits)


def _parser(recover: bool) -> etree.XMLParser:
    return etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        huge_tree=True,
        remove_pis=False,
        recover=recover,
    )


def _tree(data: bytes) -> etree._Element:
    try:
        return etree.fromstring(data, _parser(recover=False))
    except etree.XMLSyntaxError as error:
        if getattr(error, "code", None) in _ODD_NAMESPACE:
            forgiving = _parser(recover=True)
            root = etree.fromstring(data, forgiving)
            if root is not None and all(entry.type in _ODD_NAMESPACE for entry in forgiving.error_log):
                return root
        line = error.position[0] if error.position else None
        place = f"line {line}" if line else None
        reason = re.sub(_POSITION, "", error.msg or "no reason given")
        if "Excessive depth" in reason:
            raise Unreadable(
                "Groups are nested too deeply (more than 2000 inside one another)",
                place,
                "Ungroup the artwork and export it again.",
            ) from error
        raise Unreadable(
            f"The file is not well-formed XML: {reason}",
            place,
            "Open it in a drawing program and export it again; a file cut off while copying looks like this too.",
        ) from error
    except (LookupError, ValueError) as error:
        raise Unreadable(f"The file cannot be decoded: {error}", None, "Save it as UTF-8.") from error


def _checked_root(root: etree._Element) -> bool:
    name = etree.QName(root)
    if name.localname == "svg" and name.namespace == SVG:
        return True
    if name.localname == "svg" and name.namespace is None:
        return False
    raise Unreadable(
        f"The file is XML but not SVG: its first element is <{name.localname}>",
        f"line {root.sourceline}",
        "Export the artwork as SVG.",
    )
