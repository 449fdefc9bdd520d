"""Images (ISO 32000-1, 8.9): where they lie and what their dictionaries and bytes say. Decodes none."""
