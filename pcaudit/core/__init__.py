"""The pure core: profiles, snapshots and what follows from the two; imports no OS code."""
