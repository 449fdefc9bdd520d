"""The shop profile."""
