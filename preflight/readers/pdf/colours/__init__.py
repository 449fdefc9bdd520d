"""Colour spaces, named inks, shadings and patterns (ISO 32000-1, 8.6 and 8.7). Knows no operator."""
