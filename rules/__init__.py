"""Built-in rules."""
