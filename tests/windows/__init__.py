"""The Windows probe: on recorded hosts everywhere, on a real Windows Python under Wine where there is one."""
