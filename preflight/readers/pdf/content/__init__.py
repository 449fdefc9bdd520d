"""Content streams (ISO 32000-1, 7.8): split into instructions, run, and put on the canvas as objects."""
