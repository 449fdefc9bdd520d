"""One self-contained HTML file: template, style and script inlined, nothing loaded from elsewhere. Knows no wording."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from preflight.reports.report import Drawings, Report, RuleUse
from preflight.reports.words import baseline_words, counts_line, not_found_words
from preflight.rule import Rule, page_sections

from .inlined import environment, inert_json, markup, part, policy
from .places import places_of
from .sheets import RulePage, Sheet, rules_met, sheets_of

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup

__all__ = ["FILES_SHOWN", "page"]

FILES_SHOWN = 100
"""How many files are named of which a baseline holds what is no longer found; JSON holds all."""


def page(report: Report, drawings: Drawings, rules: Mapping[str, type[Rule]]) -> bytes:
    """The page as UTF-8. Everything from the files is escaped; a policy in the page forbids all loading."""
    sheets = list(sheets_of(report, drawings))
    style = _part("base.css") + _part("report.css")
    script = "".join(map(_part, ("elements.js", "measures.js", "picture.js", "report.js")))
    text = _template().render(
        report=report,
        sheets=sheets,
        rule_pages=list(_rule_pages(rules, rules_met(sheets), report.rules)),
        counts=counts_line(report.counts),
        baseline=None if report.baseline is None else baseline_words(report.baseline),
        not_found=[] if report.baseline is None else not_found_words(report.baseline, FILES_SHOWN),
        policy=policy(style, script),
        style=markup(style),
        script=markup(script),
        data=_script_data(sheets),
    )
    return text.encode("utf-8", "backslashreplace")


def _script_data(sheets: list[Sheet]) -> Markup:
    """The places of all findings."""
    return inert_json(
        [
            {"id": sheet.id, "width": sheet.width, "height": sheet.height, "places": places_of(sheet)}
            for sheet in sheets
        ]
    )


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


def _part(name: str) -> str:
    return part(__package__, name)


@cache
def _template() -> Template:
    made = environment()
    made.filters["prose"] = _prose
    return made.from_string(_part("template.html"))


def _prose(text: str) -> Any:
    """A rule page's text as HTML: paragraphs, lists marked by ``*`` or ``-``, ``code``. Escaped first."""
    from markupsafe import escape

    blocks = []
    for block in re.split(r"\n\s*\n", text):
        items = re.split(r"^\s*[*-] ", block, flags=re.MULTILINE)
        lead = _inline(str(escape(items[0].strip())))
        listed = "".join(f"<li>{_inline(str(escape(item.strip())))}</li>" for item in items[1:])
        blocks.append((f"<p>{lead}</p>" if lead else "") + (f"<ul>{listed}</ul>" if listed else ""))
    return markup("".join(blocks))


def _inline(escaped: str) -> str:
    return re.sub(r"``(.+?)``", r"<code>\1</code>", escaped, flags=re.DOTALL)
