"""Probes for Linux."""
