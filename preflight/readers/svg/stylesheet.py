"""Style sheets and style attributes as lists of declarations, and which rules match. Knows no property's meaning."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any, NamedTuple

from lxml import etree

from preflight.artwork.model import NoteKind

__all__ = ["NOTHING", "Declaration", "Matched", "StyleSheets", "declarations"]


Complain = Callable[[NoteKind, str, etree._Element], None]
"""Called with a kind of note, a sentence and the ``<style>`` it is about."""


class Declaration(NamedTuple):
    """``name: value`` as written; ``name`` in lower case unless it is a custom property."""

    name: str
    value: str
    important: bool


# Compiled by what first needs them, and kept by Python: many files have no style sheet.
_UNUSUAL = r"""[\\{}@!]|/\*|"[^"]*;|'[^']*;|\([^)]*;"""
_SIMPLE = r"(?P<tag>[A-Za-z][\w-]*|\*)?(?P<rest>(?:[.#][A-Za-z_-][\w-]*)*)"
_PARTS = r"([.#])([\w-]+)"


@lru_cache(maxsize=4096)
def declarations(text: str) -> list[Declaration]:
    """Split a style attribute; anything out of the ordinary goes through the full CSS parser."""
    if re.search(_UNUSUAL, text):
        import tinycss2

        return _from_nodes(tinycss2.parse_blocks_contents(text, skip_comments=True, skip_whitespace=True))
    found = []
    for part in text.split(";"):
        name, colon, value = part.partition(":")
        if colon and value.strip():
            found.append(Declaration(_property(name.strip()), value.strip(), False))
    return found


def _property(name: str) -> str:
    return name if name.startswith("--") else name.lower()


def _from_nodes(nodes: Iterable[Any]) -> list[Declaration]:
    from preflight.readers.svg.selectors import written

    return [
        Declaration(_property(node.name), written(node.value), node.important)
        for node in nodes
        if node.type == "declaration"
    ]


class Matched:
    """The declarations that match some element, weakest first; equal ones are one object, so it serves as a key."""

    __slots__ = ("declarations",)

    def __init__(self, found: tuple[Declaration, ...]) -> None:
        self.declarations = found


NOTHING = Matched(())


class _Rule(NamedTuple):
    specificity: tuple[int, int, int]
    order: int
    declarations: list[Declaration]
    tag: str | None
    classes: frozenset[str]
    ids: frozenset[str]


class StyleSheets:
    """All rules of a document.

    Selectors made only of a type, classes and ids are matched here, once per combination; as soon as one
    rule needs more, cssselect2 matches every rule on the tree.
    """

    def __init__(self, root: etree._Element, complain: Complain) -> None:
        self._rules: list[_Rule] = []
        self._full: list[tuple[str, list[Declaration], etree._Element]] = []
        self._simple = True
        self._by_name: dict[tuple[str, str, str], Matched] = {}
        self._matched: dict[tuple[Declaration, ...], Matched] = {(): NOTHING}
        self._ids: set[str] = set()
        self._matcher: Any = None
        self._wrappers: dict[etree._Element, Any] = {}
        self._root = root
        for element in root.iter("{*}style"):
            self._read(element, complain)
        if not self._simple:
            self._prepare(complain)

    def __bool__(self) -> bool:
        return bool(self._full)

    def _read(self, element: etree._Element, complain: Complain) -> None:
        kind = (element.get("type") or "text/css").strip().lower()
        if kind not in ("text/css", ""):
            complain(
                NoteKind.NOT_MODELLED,
                f"A style sheet of type “{kind[:40]}” is not taken into account.",
                element,
            )
            return
        if not _counts(element.get("media") or "", complain, element):
            return
        import tinycss2

        from preflight.readers.svg.selectors import written

        text = "".join(str(part) for part in element.itertext())
        nodes = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
        pending = list(reversed(nodes))
        while pending:
            node = pending.pop()
            if node.type == "qualified-rule":
                found = _contents(node.content, complain, element)
                self._add(written(node.prelude), found, element)
            elif node.type == "at-rule":
                pending += reversed(_inside(node, complain, element))
            elif node.type == "error":
                complain(NoteKind.FAULT, "A rule of the style sheet cannot be read and is left out.", element)

    def _add(self, selectors: str, found: list[Declaration], element: etree._Element) -> None:
        self._full.append((selectors, found, element))
        for selector in selectors.split(","):
            simple = re.fullmatch(_SIMPLE, selector.strip())
            if not simple or not selector.strip():
                self._simple = False
                continue
            parts = re.findall(_PARTS, simple["rest"] or "")
            classes = frozenset(name for mark, name in parts if mark == ".")
            ids = frozenset(name for mark, name in parts if mark == "#")
            self._ids |= ids
            tag = simple["tag"] if simple["tag"] != "*" else None
            # A repeated class counts each time, so the list is counted and not the set.
            counts = (
                sum(mark == "#" for mark, _ in parts),
                sum(mark == "." for mark, _ in parts),
                int(tag is not None),
            )
            self._rules.append(_Rule(counts, len(self._rules), found, tag, classes, ids))

    def _prepare(self, complain: Complain) -> None:
        import cssselect2

        from preflight.readers.svg.selectors import TooInvolvedError, compiled

        self._matcher = cssselect2.Matcher()
        for selectors, found, element in self._full:
            try:
                known = list(compiled(selectors))
            except TooInvolvedError:
                message = f"The selector “{selectors[:60]}” is too long or too deep to be followed; its rule is left out."
                complain(NoteKind.NOT_MODELLED, message, element)
                continue
            except cssselect2.SelectorError:
                # CSS drops a rule whose selector it does not know.
                message = f"The selector “{selectors[:60]}” means nothing; its rule is left out."
                complain(NoteKind.FAULT, message, element)
                continue
            for selector in known:
                self._matcher.add_selector(selector, found)
        for wrapper in cssselect2.ElementWrapper.from_xml_root(self._root).iter_subtree():
            self._wrappers[wrapper.etree_element] = wrapper

    def matching(self, element: etree._Element, attributes: dict[str, str]) -> Matched:
        """What the rules that match an element declare."""
        if self._simple:
            name = attributes.get("id", "")
            key = (element.tag, attributes.get("class", ""), name if name in self._ids else "")
            known = self._by_name.get(key)
            if known is None:
                known = self._by_name[key] = self._one(self._matching_names(*key))
            return known
        wrapper = self._wrappers.get(element)
        if wrapper is None:
            return NOTHING
        matches = sorted(self._matcher.match(wrapper), key=lambda match: (match[0], match[1]))
        return self._one(tuple(one for _, _, _, found in matches for one in found))

    def _one(self, found: tuple[Declaration, ...]) -> Matched:
        known = self._matched.get(found)
        if known is None:
            known = self._matched[found] = Matched(found)
        return known

    def _matching_names(self, tag: str, classes: str, name: str) -> tuple[Declaration, ...]:
        local = tag.rpartition("}")[2]
        own = set(classes.split())
        rules = [
            rule
            for rule in self._rules
            if (rule.tag is None or rule.tag == local) and rule.classes <= own and rule.ids <= {name}
        ]
        rules.sort(key=lambda rule: (rule.specificity, rule.order))
        return tuple(one for rule in rules for one in rule.declarations)


def _contents(content: Any, complain: Complain, element: etree._Element) -> list[Declaration]:
    import tinycss2

    nodes = tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True)
    if any(node.type in ("qualified-rule", "at-rule") for node in nodes):
        message = "Rules nested inside other rules of the style sheet are not taken into account."
        complain(NoteKind.NOT_MODELLED, message, element)
    if any(node.type == "error" for node in nodes):
        complain(NoteKind.FAULT, "A declaration of the style sheet cannot be read and is left out.", element)
    return _from_nodes(nodes)


def _counts(media: str, complain: Complain, element: etree._Element) -> bool:
    """Whether rules for these media count: artwork is judged as it is printed, so those for print do.

    Rules for the screen are left out, and that is said, since browsers show them. What a query asks beyond the
    kind of medium (width, resolution) is taken to hold and noted.
    """
    answers = {_answer(query) for query in media.lower().split(",")}
    if True in answers:
        return True
    if None in answers:
        message = f"Rules for “{media[:60]}” hang on the medium; they are taken to hold."
        complain(NoteKind.NOT_MODELLED, message, element)
        return True
    message = f"Rules for “{media[:60]}” only are left out: the artwork is judged as it is printed."
    complain(NoteKind.ASSUMED, message, element)
    return False


def _answer(query: str) -> bool | None:
    """Whether one media query holds in print; None where it hangs on more than that."""
    words = query.split()
    negated = words[:1] == ["not"]
    if words and words[0] in ("not", "only"):
        del words[0]
    kind = words[0] if words and not words[0].startswith("(") else "all"
    holds: bool | None = kind in ("all", "print")
    if holds and "(" in query:
        holds = None
    return holds if holds is None or not negated else not holds


def _inside(node: Any, complain: Complain, element: etree._Element) -> list[Any]:
    import tinycss2

    from preflight.readers.svg.selectors import written

    keyword = node.lower_at_keyword
    if keyword == "media" and node.content is not None:
        if _counts(written(node.prelude), complain, element):
            found: list[Any] = tinycss2.parse_rule_list(
                node.content, skip_comments=True, skip_whitespace=True
            )
            return found
    elif keyword == "import":
        message = "A style sheet kept in another file is not taken into account."
        complain(NoteKind.NOT_MODELLED, message, element)
    elif keyword not in ("font-face", "charset", "namespace", "color-profile", "page"):
        complain(NoteKind.NOT_MODELLED, f"Rules under @{keyword[:40]} are not taken into account.", element)
    return []
