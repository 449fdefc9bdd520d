"""The report as HTML, for those who ask for it: what makes the page is imported only then. Knows no wording."""

from __future__ import annotations

from preflight.reports.report import Drawings, Renderer, Report

__all__ = ["HtmlRenderer"]


class HtmlRenderer(Renderer):
    """A page with the artwork, every finding pinned on it, and the list beside it."""

    format = "html"
    suffix = ".html"

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The page as UTF-8."""
        from .page import page

        return page(report, drawings, self.rules)
