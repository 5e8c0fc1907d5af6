"""Planning: what follows from a worksheet, a snapshot and two days; pure functions."""
