"""PDF: bytes to Artwork. Importing this loads neither pikepdf nor pypdfium2; `read` does."""
