"""The HTML report."""
