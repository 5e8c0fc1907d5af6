"""The macOS probe, on recorded hosts: no Mac is needed, and none has been seen."""
