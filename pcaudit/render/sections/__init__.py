"""Sections of the text report, one module each."""
