"""``<switch>`` and conditional attributes. Knows no drawing."""

from __future__ import annotations

from lxml import etree

__all__ = ["chosen_child", "holds"]

LANGUAGE = "en"
"""The reader's language for ``systemLanguage``; said in a note where it decides something."""

_EXTENSIONS = {"http://www.w3.org/1999/xhtml", "http://www.w3.org/1998/Math/MathML"}


def holds(element: etree._Element) -> tuple[bool, bool]:
    """Whether the conditions of an element hold, and whether a language decided it."""
    attributes = element.attrib
    extensions = attributes.get("requiredExtensions")
    if extensions is not None and not (extensions.split() and set(extensions.split()) <= _EXTENSIONS):
        return False, False
    languages = attributes.get("systemLanguage")
    if languages is None:
        return True, False
    tags = [tag.strip().lower() for tag in languages.split(",")]
    return any(tag.split("-")[0] == LANGUAGE for tag in tags), True


def chosen_child(switch: etree._Element) -> etree._Element | None:
    """The first child element whose conditions hold."""
    for child in switch:
        if isinstance(child.tag, str) and holds(child)[0]:
            return child
    return None
