"""A real Windows Python under Wine, and invented PCs for it to run on."""
