"""Cut contours: their shapes, how they meet and nest, the pieces they set free and the film between them."""
