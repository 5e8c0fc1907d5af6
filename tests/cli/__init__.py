"""Tests of the real program: its exit codes, its streams, what it says of bad input."""
