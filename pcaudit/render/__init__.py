"""A report in, text out."""
