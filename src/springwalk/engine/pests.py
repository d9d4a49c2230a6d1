"""Counts of stand pests against their published rules."""
