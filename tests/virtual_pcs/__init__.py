"""PCs whose hardware is chosen, booted, and probed from the inside."""
