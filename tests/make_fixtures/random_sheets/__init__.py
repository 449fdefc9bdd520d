"""Sheets made by number, with faults planted in them."""
