"""Probes for Windows."""
