"""Reading worksheets."""
