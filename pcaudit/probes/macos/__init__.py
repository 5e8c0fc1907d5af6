"""Probes for macOS."""
