"""Findings that were known before a run: from a baseline, or from the earlier version of a file."""
