"""The documents against the program."""
