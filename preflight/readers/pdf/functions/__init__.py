"""Functions (ISO 32000-1, 7.10), evaluated over arrays. Knows no colour and no page."""
