"""One widget a file."""
