"""Planning: worksheets held against days, profiles and readings."""
