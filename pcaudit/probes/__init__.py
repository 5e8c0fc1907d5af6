"""The only rooms that ask the operating system."""
