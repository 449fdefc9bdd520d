"""Rules of reading."""
