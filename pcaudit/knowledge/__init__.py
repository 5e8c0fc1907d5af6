"""Data files with their source and date beside them."""
