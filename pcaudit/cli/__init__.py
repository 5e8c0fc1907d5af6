"""The command line: one short function for each command; the only room that prints."""
