"""What can be told of a field in one word, and of which words hours are told. Loads nothing, for the help's sake."""

TAPS = ("hail", "ponding", "water gone", "wind", "frost", "crust", "emerged", "baits set", "torn up")
WITH_HOURS = ("ponding", "water gone", "frost")
"""Taps that tell how long water stood or frost held."""
