"""Published requirement tables of general software, written as profiles and judged."""
