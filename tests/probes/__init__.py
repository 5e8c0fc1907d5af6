"""Tests of the probes, each over a host that is held in memory or in a folder."""
