"""The command line: one file per verb group, each command the twin of a job. Heavy parts load inside the commands."""

from springwalk.cli.app import app, run

__all__ = ["app", "run"]
