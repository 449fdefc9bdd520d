"""The report as one self-contained page for a browser."""

from .renderer import HtmlRenderer

__all__ = ["HtmlRenderer"]
