"""Names: what each object is for by its layer, colour or class, and names that are nearly right."""
