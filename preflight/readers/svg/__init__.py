"""SVG: bytes to Artwork."""
