"""SVG: bytes to Artwork. Importing this loads nothing else; `read` is the way in."""
