"""Replaces a file's own text entities, within bounds, before the XML reader sees them. Knows nothing of SVG.

Drawing programs of some years ago declare their namespaces as entities and the files are common, so internal
entities have to work; an XML library either expands them all or none. Here they are expanded only after the
total length has been worked out, and nothing outside the file is ever fetched.
"""

from __future__ import annotations

import re

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits

__all__ = ["replace_entities"]

_DOCTYPE = re.compile(r"<!DOCTYPE\s")
_DECLARED = re.compile(
    r"""<!ENTITY\s+(?P<parameter>%\s+)?(?P<name>[^\s%"'<>&;]+)\s+"""
    r"""(?:(?P<external>(?:SYSTEM|PUBLIC)\b[^>]*)|"(?P<double>[^"]*)"|'(?P<single>[^']*)')\s*>"""
)
_SKIPPED_OR_REFERENCE = re.compile(
    r"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>|&(?P<name>[^\s#&;<>\"']+);", re.DOTALL
)
_REFERENCE = re.compile(r"&([^\s#&;<>\"']+);")
_CHARACTER = re.compile(r"&#(?:x([0-9a-fA-F]{1,6})|([0-9]{1,7}));")
_PREDEFINED = {"amp", "lt", "gt", "quot", "apos"}


def replace_entities(text: str, limits: Limits) -> str:
    """Replace references to entities that the file itself declares; line numbers stay as they are.

    Parameters
    ----------
    text : the decoded file.
    limits : ``entity_text`` bounds what all references together may add.

    Raises
    ------
    Unreadable
        An external entity is used, an entity holds itself, or the replaced text grows beyond the limit.
    """
    start, end = _internal_subset(text)
    if start == end:
        return text
    subset = text[start:end]
    values, external = _declarations(subset)
    if not values and not external:
        return text
    lengths = _expanded_lengths(values, external)
    body = _replaced(text[end:], values, external, lengths, limits.entity_text)
    return text[:start] + _DECLARED.sub(_blank_lines, subset) + body


def _internal_subset(text: str) -> tuple[int, int]:
    """Where the declarations between ``[`` and ``]`` of the document type stand."""
    found = _DOCTYPE.search(text)
    if not found:
        return 0, 0
    quote = ""
    opened = -1
    position = found.end()
    while position < len(text):
        letter = text[position]
        if quote:
            quote = "" if letter == quote else quote
        elif text.startswith("<!--", position):
            position = text.find("-->", position)
            if position < 0:
                return 0, 0
            position += 2
        elif letter in "\"'":
            quote = letter
        elif letter == "[" and opened < 0:
            opened = position + 1
        elif letter == "]" and opened >= 0:
            return opened, position
        elif letter == ">" and opened < 0:
            return 0, 0
        position += 1
    return 0, 0


def _declarations(subset: str) -> tuple[dict[str, str], set[str]]:
    values: dict[str, str] = {}
    external: set[str] = set()
    for found in _DECLARED.finditer(subset):
        name = found["name"]
        if found["parameter"]:
            if re.search(rf"%{re.escape(name)};", subset):
                raise Unreadable(
                    f"The file builds its document type from parts (parameter entity “{name}”)",
                    None,
                    "Remove the document type at the top of the file, or export the artwork again.",
                )
            continue
        if name in values or name in external:
            continue  # the first declaration binds (XML 1.0, 4.2)
        if found["external"]:
            external.add(name)
        else:
            value = found["double"] if found["double"] is not None else found["single"]
            values[name] = _CHARACTER.sub(_character, value)
    return values, external


def _character(found: re.Match[str]) -> str:
    code = int(found[1], 16) if found[1] else int(found[2])
    if code == 0 or code > 0x10FFFF or 0xD800 <= code <= 0xDFFF:
        raise Unreadable(
            f"A character reference names no character ({found[0]})", None, "Export the artwork again."
        )
    return chr(code)


def _expanded_lengths(values: dict[str, str], external: set[str]) -> dict[str, int]:
    """Length of every entity once all references in it are replaced, without replacing any."""
    lengths: dict[str, int] = {}
    for first in values:
        stack = [first]
        open_names: set[str] = set()
        while stack:
            name = stack[-1]
            if name in lengths:
                stack.pop()
                continue
            inner = [n for n in _REFERENCE.findall(values[name]) if n in values]
            waiting = [n for n in inner if n not in lengths]
            if not waiting:
                lengths[name] = len(values[name]) + sum(lengths[n] for n in inner)
                open_names.discard(name)
                stack.pop()
            elif open_names.intersection(waiting) or name in waiting:
                raise Unreadable(f"The entity “{name}” contains itself", None, "Export the artwork again.")
            else:
                open_names.add(name)
                stack.append(waiting[0])
    return lengths


def _replaced(
    body: str, values: dict[str, str], external: set[str], lengths: dict[str, int], limit: int
) -> str:
    budget = limit
    pieces: list[str] = []
    expanded: dict[str, str] = {}
    last = 0
    for found in _SKIPPED_OR_REFERENCE.finditer(body):
        name = found["name"]
        if name is None or name in _PREDEFINED:
            continue
        if name in external:
            raise _outside(name)
        if name not in values:
            continue  # the XML reader reports it, with its line
        budget -= lengths[name]
        if budget < 0:
            raise Unreadable(
                f"The file's entities expand to more than {limit:,} characters",
                None,
                "Remove the document type at the top of the file, or export the artwork again.",
            )
        if name not in expanded:
            expanded[name] = _expanded(name, values, external)
        pieces += (body[last : found.start()], expanded[name])
        last = found.end()
    return "".join(pieces) + body[last:]


def _expanded(name: str, values: dict[str, str], external: set[str]) -> str:
    """One entity in full; the caller has checked its length and that it ends."""
    text = values[name]
    while inner := [n for n in _REFERENCE.findall(text) if n not in _PREDEFINED]:
        for reference in inner:
            if reference in external:
                raise _outside(reference)
        if not any(n in values for n in inner):
            break
        text = _REFERENCE.sub(lambda found: values.get(found[1], found[0]), text)
    # Newlines would move every line number after them; white space is white space to what follows.
    return text.replace("\r", " ").replace("\n", " ")


def _outside(name: str) -> Unreadable:
    return Unreadable(
        f"The file pulls in another file (external entity “{name}”), which is never followed",
        None,
        "Put the content into the file itself, or export the artwork again.",
    )


def _blank_lines(found: re.Match[str]) -> str:
    return "\n" * found[0].count("\n")
