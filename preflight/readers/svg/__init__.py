"""SVG: bytes to Artwork."""

from preflight.readers.svg.read import read, sniff

__all__ = ["read", "sniff"]
