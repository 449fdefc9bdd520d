"""Registration marks: recognised, grouped into sets, and what stands near them."""
