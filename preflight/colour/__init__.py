"""Colour: conversions, libraries, output gamut."""
