"""Springwalk: which corn fields to walk this morning, for what, and why."""

__version__ = "0.1.0"
