"""Optional content (ISO 32000-1, 8.11): layers, which of them show and print, and what content belongs to them."""
