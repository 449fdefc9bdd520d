"""Style sheets and style attributes as lists of declarations, and which rules match. Knows no property's meaning."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any, NamedTuple

from lxml import etree

__all__ = ["NOTHING", "Declaration", "Matched", "StyleSheets", "declarations"]


class Declaration(NamedTuple):
    """``name: value`` as written; ``name`` in lower case unless it is a custom property."""

    name: str
    value: str
    important: bool


_UNUSUAL = re.compile(r"""[\\{}@!]|/\*|"[^"]*;|'[^']*;|\([^)]*;""")
_SIMPLE = re.compile(r"(?P<tag>[A-Za-z][\w-]*|\*)?(?P<rest>(?:[.#][A-Za-z_-][\w-]*)*)")
_PARTS = re.compile(r"([.#])([\w-]+)")
SHOWN = {"all", "screen", ""}
"""Media whose rules count. What only holds in print is noted: a viewer, and most RIPs, show the screen's."""


@lru_cache(maxsize=4096)
def declarations(text: str) -> list[Declaration]:
    """Split a style attribute; anything out of the ordinary goes through the full CSS parser."""
    if _UNUSUAL.search(text):
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
    import tinycss2

    return [
        Declaration(_property(node.name), tinycss2.serialize(node.value).strip(), node.important)
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

    def __init__(self, root: etree._Element, complain: Callable[[str, etree._Element], None]) -> None:
        self._rules: list[_Rule] = []
        self._full: list[tuple[str, list[Declaration]]] = []
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
            self._prepare()

    def __bool__(self) -> bool:
        return bool(self._full)

    def _read(self, element: etree._Element, complain: Callable[[str, etree._Element], None]) -> None:
        kind = (element.get("type") or "text/css").strip().lower()
        if kind not in ("text/css", ""):
            complain(f"a style sheet of type “{kind}”", element)
            return
        if not _shown(element.get("media") or ""):
            complain(f"a style sheet for {element.get('media')} only", element)
            return
        import tinycss2

        text = "".join(str(part) for part in element.itertext())
        nodes = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
        pending = list(reversed(nodes))
        while pending:
            node = pending.pop()
            if node.type == "qualified-rule":
                self._add(
                    tinycss2.serialize(node.prelude).strip(), _contents(node.content), complain, element
                )
            elif node.type == "at-rule":
                pending += reversed(_inside(node, complain, element))
            elif node.type == "error":
                complain("a rule of the style sheet that cannot be read", element)

    def _add(
        self,
        selectors: str,
        found: list[Declaration],
        complain: Callable[[str, etree._Element], None],
        element: etree._Element,
    ) -> None:
        self._full.append((selectors, found))
        for selector in selectors.split(","):
            simple = _SIMPLE.fullmatch(selector.strip())
            if not simple or not selector.strip():
                self._simple = False
                continue
            parts = _PARTS.findall(simple["rest"] or "")
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

    def _prepare(self) -> None:
        import cssselect2

        self._matcher = cssselect2.Matcher()
        for selectors, found in self._full:
            try:
                compiled = cssselect2.compile_selector_list(selectors)
            except cssselect2.SelectorError:
                continue  # CSS drops a rule whose selector it does not know
            for selector in compiled:
                if selector.pseudo_element is None:
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


def _contents(content: Any) -> list[Declaration]:
    import tinycss2

    return _from_nodes(tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True))


def _shown(media: str) -> bool:
    """Whether one of the media queries holds on a screen; only plain media types are understood."""
    words = [
        query.strip().lower().removeprefix("only ").split(" and ")[0].strip() for query in media.split(",")
    ]
    return any(word in SHOWN or word.startswith("(") for word in words)


def _inside(node: Any, complain: Callable[[str, etree._Element], None], element: etree._Element) -> list[Any]:
    import tinycss2

    keyword = node.lower_at_keyword
    if keyword == "media" and node.content is not None:
        media = tinycss2.serialize(node.prelude).strip()
        if _shown(media):
            found: list[Any] = tinycss2.parse_rule_list(
                node.content, skip_comments=True, skip_whitespace=True
            )
            return found
        complain(f"rules for {media} only", element)
    elif keyword == "import":
        complain("a style sheet kept in another file", element)
    elif keyword not in ("font-face", "charset", "namespace", "color-profile", "page"):
        complain(f"rules under @{keyword}", element)
    return []
