"""Reading worksheets: what only people know, one module for each section of the file."""
