"""Many files: found, checked by processes that may die, kept in a store, told in one overview."""
