"""What is printed: inks in paint order, the areas they cover, and what print cannot use."""
