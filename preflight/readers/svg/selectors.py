"""Selectors of a style sheet as tests of an element, each of which ends soon. Knows no declaration.

cssselect2 turns a selector into one expression that tries every way up through the groups: a dozen names one below the other
take years in a drawing of a hundred nested groups. Here it makes the test of each compound, and the way from compound to
compound goes by sets of elements.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

import cssselect2
import tinycss2
from cssselect2 import parser

__all__ = ["TooInvolvedError", "compiled", "written"]

_DEEPEST = 32
"""Brackets inside one another. What is nested deeper stands in no drawing, and would have to be followed down."""

_LONGEST = 400
"""Tokens of one selector, so some hundred elements one below the other."""

_WAYS = 2
"""How often a selector inside ``:not()`` and the like may go through the elements above or before: cssselect2 tries every way."""

_NO_CSS = "!"
"""Stands where something was left out, and is valid nowhere."""


class TooInvolvedError(Exception):
    """A list of selectors that is not followed, being too long or too deep."""


def written(nodes: list[Any]) -> str:
    """The text of some nodes. What is nested too deeply for anybody to have meant it is replaced by what is no CSS."""
    pending = [(nodes, 0)]
    while pending:
        inside, depth = pending.pop()
        if depth > _DEEPEST:
            inside[:] = [tinycss2.ast.LiteralToken(0, 0, _NO_CSS)]
            continue
        for node in inside:
            within = getattr(node, "arguments", None) or getattr(node, "content", None)
            if isinstance(within, list):
                pending.append((within, depth + 1))
    text: str = tinycss2.serialize(nodes)
    return text.strip()


def compiled(selectors: str) -> Iterator[Any]:
    """The selectors of a list, as ``cssselect2.Matcher`` takes them; without those of pseudo-elements, which draw nothing.

    Raises
    ------
    TooInvolvedError
    cssselect2.SelectorError
        A selector means nothing.
    """
    tokens = tinycss2.parse_component_value_list(selectors)
    if max(map(len, _split(tokens)), default=0) > _LONGEST:
        raise TooInvolvedError
    found = list(parser.parse(tokens))
    for one in found:
        if one.pseudo_element is None:
            yield _chained(one)


def _split(nodes: Iterable[Any]) -> Iterator[list[Any]]:
    part: list[Any] = []
    for node in nodes:
        if node == ",":
            yield part
            part = []
        else:
            part.append(node)
    yield part


def _chained(selector: Any) -> Any:
    """One selector whose test takes no more steps than there are elements above and before, for each of its compounds."""
    node, lefts = selector.parsed_tree, []
    while isinstance(node, parser.CombinedSelector):
        lefts.append((node.combinator, node.left))
        node = node.left
    compounds = [selector.parsed_tree, *(left for _, left in lefts)]
    tests = []
    for one in compounds:
        compound = one.right if isinstance(one, parser.CombinedSelector) else one
        if _ways(compound) > _WAYS:
            raise TooInvolvedError
        tests.append(cssselect2.compiler.CompiledSelector(parser.Selector(compound)))
    found = tests[0]
    found.specificity = selector.specificity
    if lefts:
        own = found.test
        steps = [
            (_RELATED[combinator], test.test) for (combinator, _), test in zip(lefts, tests[1:], strict=True)
        ]
        found.test = lambda element: bool(own(element)) and _reached(element, steps)
        found.never_matches = any(test.never_matches for test in tests)
    return found


def _ways(selector: Any) -> int:
    """How many combinators with many ways there are in the selectors that a compound holds."""
    ways, pending = 0, [selector]
    while pending:
        node = pending.pop()
        for simple in getattr(node, "simple_selectors", ()):
            for inner in getattr(simple, "selector_list", ()):
                ways += isinstance(inner, parser.RelativeSelector)
                pending.append(getattr(inner, "selector", inner).parsed_tree)
        if isinstance(node, parser.CombinedSelector):
            ways += node.combinator in " ~"
            pending += [node.left, node.right]
    return ways


def _reached(element: Any, steps: Sequence[tuple[Callable[[list[Any]], Iterator[Any]], Any]]) -> bool:
    """Whether the elements that each step leads to hold one that passes its test, to the last step."""
    reached = [element]
    for related, test in steps:
        reached = [one for one in related(reached) if test(one)]
        if not reached:
            return False
    return True


def _above(elements: list[Any]) -> Iterator[Any]:
    seen = set()
    for element in elements:
        one = element.parent
        while one is not None and id(one) not in seen:
            seen.add(id(one))
            yield one
            one = one.parent


def _before(elements: list[Any]) -> Iterator[Any]:
    seen = set()
    for element in elements:
        one = element.previous
        while one is not None and id(one) not in seen:
            seen.add(id(one))
            yield one
            one = one.previous


def _parents(elements: list[Any]) -> Iterator[Any]:
    parents = {id(one.parent): one.parent for one in elements if one.parent is not None}
    return iter(parents.values())


def _directly_before(elements: list[Any]) -> Iterator[Any]:
    return (one.previous for one in elements if one.previous is not None)


_RELATED = {" ": _above, ">": _parents, "~": _before, "+": _directly_before}
