"""Readers: bytes to Artwork."""
