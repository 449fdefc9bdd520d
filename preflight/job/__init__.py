"""Artwork and profile together: what each object is for."""
