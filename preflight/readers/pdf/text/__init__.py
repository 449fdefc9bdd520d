"""Text (ISO 32000-1, clause 9): fonts, what their codes stand for, and glyphs as objects of the page."""
