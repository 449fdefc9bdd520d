"""Checks SVG and PDF artwork for print-and-cut work."""
