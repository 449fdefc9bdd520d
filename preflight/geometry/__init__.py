"""Kernels on arrays of curves."""
