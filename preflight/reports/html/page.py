"""One self-contained HTML file: template, style and script inlined, nothing loaded from elsewhere. Knows no wording."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from preflight.reports.report import Drawings, Report, RuleUse
from preflight.reports.words import baseline_words, counts_line, not_found_words
from preflight.rule import Rule, page_sections

from .places import places_of
from .sheets import RulePage, Sheet, rules_met, sheets_of

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup

__all__ = ["FILES_SHOWN", "page"]

FILES_SHOWN = 100
"""How many files are named of which a baseline holds what is no longer found; JSON holds all."""

_UNSAFE_IN_SCRIPT = {ord(character): f"\\u{ord(character):04x}" for character in "<>&\u2028\u2029"}
"""What could end a script element, open a comment in it or break a line: the HTML parser reads these before JSON."""


def page(report: Report, drawings: Drawings, rules: Mapping[str, type[Rule]]) -> bytes:
    """The page as UTF-8. Everything from the files is escaped; a policy in the page forbids all loading."""
    sheets = list(sheets_of(report, drawings))
    style, script = _part("report.css"), _part("measures.js") + _part("report.js")
    text = _template().render(
        report=report,
        sheets=sheets,
        rule_pages=list(_rule_pages(rules, rules_met(sheets), report.rules)),
        counts=counts_line(report.counts),
        baseline=None if report.baseline is None else baseline_words(report.baseline),
        not_found=[] if report.baseline is None else not_found_words(report.baseline, FILES_SHOWN),
        policy=_policy(style, script),
        style=_markup(style),
        script=_markup(script),
        data=_markup(_script_data(sheets)),
    )
    return text.encode("utf-8", "backslashreplace")


def _policy(style: str, script: str) -> str:
    """The content security policy: pictures from data URIs, our own style and script by their hashes, no more."""
    return (
        f"default-src 'none'; img-src data:; style-src '{_digest(style)}'; script-src '{_digest(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )


def _digest(text: str) -> str:
    import base64

    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _script_data(sheets: list[Sheet]) -> str:
    """The places of all findings as JSON that is inert inside a script element."""
    import json

    document = [
        {"id": sheet.id, "width": sheet.width, "height": sheet.height, "places": places_of(sheet)}
        for sheet in sheets
    ]
    return json.dumps(document, separators=(",", ":"), allow_nan=False).translate(_UNSAFE_IN_SCRIPT)


def _rule_pages(
    rules: Mapping[str, type[Rule]], met: Iterator[str], uses: Sequence[RuleUse]
) -> Iterator[RulePage]:
    """Pages of the rules met, with the values in force."""
    settings = {use.id: use.settings for use in uses}
    for id_ in met:
        if id_ not in rules:
            continue
        own = settings.get(id_, ())
        try:
            sections = page_sections(rules[id_], {one.name: one.value for one in own})
        except ValueError as error:
            sections = {"summary": f"Its page cannot be shown: {error}."}
        summary = sections.pop("summary")
        yield RulePage(id_, summary, list(sections.items()), own)


@cache
def _part(name: str) -> str:
    from importlib.resources import files  # costs a small check milliseconds that it has no use for

    return files(__package__).joinpath(name).read_text("utf-8")


@cache
def _template() -> Template:
    from jinja2 import Environment, StrictUndefined

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["prose"] = _prose
    return environment.from_string(_part("template.html"))


def _markup(text: str) -> Markup:
    from markupsafe import Markup

    return Markup(text)  # noqa: S704 -- our own files, and JSON escaped for its place


def _prose(text: str) -> Any:
    """A rule page's text as HTML: paragraphs, lists marked by ``*`` or ``-``, ``code``. Escaped first."""
    from markupsafe import escape

    blocks = []
    for block in re.split(r"\n\s*\n", text):
        items = re.split(r"^\s*[*-] ", block, flags=re.MULTILINE)
        lead = _inline(str(escape(items[0].strip())))
        listed = "".join(f"<li>{_inline(str(escape(item.strip())))}</li>" for item in items[1:])
        blocks.append((f"<p>{lead}</p>" if lead else "") + (f"<ul>{listed}</ul>" if listed else ""))
    return _markup("".join(blocks))


def _inline(escaped: str) -> str:
    return re.sub(r"``(.+?)``", r"<code>\1</code>", escaped, flags=re.DOTALL)
