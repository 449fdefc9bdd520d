"""The built-in readers and reports, registered through the same entry point as a stranger's."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pluggy

if TYPE_CHECKING:
    from preflight.readers.reader import Reader
    from preflight.reports.report import Renderer

PREFLIGHT_API = 1

hookimpl = pluggy.HookimplMarker("preflight")


@hookimpl
def preflight_readers() -> Sequence[Reader]:
    """SVG and PDF. Neither module brings its format's libraries along before a file of it is read."""
    from preflight.readers.pdf.reader import PdfReader
    from preflight.readers.svg.reader import SvgReader

    return [SvgReader(), PdfReader()]


@hookimpl
def preflight_renderers() -> Sequence[type[Renderer]]:
    """Terminal, JSON, HTML, and what servers read that check a repository."""
    from preflight.reports.html import HtmlRenderer
    from preflight.reports.json import JsonRenderer
    from preflight.reports.on_demand import Github, Gitlab, Junit, Sarif, Text

    return [Text, JsonRenderer, HtmlRenderer, Sarif, Junit, Gitlab, Github]
