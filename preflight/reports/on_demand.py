"""Renderers whose modules, with all that puts things into words, wait until a report of their kind is made. Knows no wording."""

from __future__ import annotations

from .report import Drawings, Renderer, Report

__all__ = ["Github", "Gitlab", "Junit", "OnDemand", "Sarif", "Text"]


class OnDemand(Renderer):
    """Stands for a renderer: has its format and suffix, and leaves the report to it."""

    @staticmethod
    def real() -> type[Renderer]:
        """The renderer itself."""
        raise NotImplementedError

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The whole document."""
        real = self.real()(self.rules)
        real.fail_on = self.fail_on
        return real.render(report, drawings)


class Text(OnDemand):
    """See `TextRenderer`."""

    format = "text"

    @staticmethod
    def real() -> type[Renderer]:
        """The renderer itself."""
        from .terminal import TextRenderer

        return TextRenderer


class Sarif(OnDemand):
    """See `SarifRenderer`."""

    format = "sarif"
    suffix = ".sarif"

    @staticmethod
    def real() -> type[Renderer]:
        """The renderer itself."""
        from .sarif import SarifRenderer

        return SarifRenderer


class Junit(OnDemand):
    """See `JunitRenderer`."""

    format = "junit"
    suffix = ".xml"

    @staticmethod
    def real() -> type[Renderer]:
        """The renderer itself."""
        from .junit import JunitRenderer

        return JunitRenderer


class Gitlab(OnDemand):
    """See `GitlabRenderer`."""

    format = "gitlab"

    @staticmethod
    def real() -> type[Renderer]:
        """The renderer itself."""
        from .gitlab import GitlabRenderer

        return GitlabRenderer


class Github(OnDemand):
    """See `GithubRenderer`."""

    format = "github"

    @staticmethod
    def real() -> type[Renderer]:
        """The renderer itself."""
        from .github import GithubRenderer

        return GithubRenderer
