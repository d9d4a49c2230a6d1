"""The mathematics: arrays in, arrays out. No input or output, clock, settings or database."""

ENGINE_VERSION = "2"
"""Changed whenever an answer can move; kept with every result."""
