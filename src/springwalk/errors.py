"""The one error tree: every message is *name = value unit: rule broken; what to do.*

SpringwalkError (1)
├── BadValue (3, also a ValueError)      a value breaks a rule
├── BadFile (4)                          a file cannot be read at all
├── StoreError (5)                       the store is missing, older, newer or locked
├── NotFound (6)                         no such field, station, walk
└── OutsideSeason (7)                    a date the store's season does not hold

Exit codes 0 (done), 2 (the command line itself) and 9 (an intake that listed faults) complete the set.
"""

from __future__ import annotations

EXIT_FAULTS_LISTED = 9


class SpringwalkError(Exception):
    """Base of all errors a person can be shown; carries its four parts."""

    exit_code = 1

    def __init__(self, name: str, value: object, rule: str, todo: str, *, unit: str = "") -> None:
        self.name, self.value, self.rule, self.todo, self.unit = name, value, rule, todo, unit
        super().__init__(message(name, value, rule, todo, unit=unit))


def message(name: str, value: object, rule: str, todo: str, *, unit: str = "") -> str:
    """Put the four parts of an error in the one form."""
    shown = f"{value} {unit}".strip() if unit else f"{value}"
    return f"{name} = {shown}: {rule}; {todo}."


class BadValue(SpringwalkError, ValueError):
    """A value breaks a rule."""

    exit_code = 3


class BadFile(SpringwalkError):
    """A file cannot be read at all."""

    exit_code = 4


class StoreError(SpringwalkError):
    """The store is missing, locked, or of another version."""

    exit_code = 5


class NotFound(SpringwalkError):
    """No such thing in this store."""

    exit_code = 6


class OutsideSeason(SpringwalkError):
    """A date outside the season the store holds."""

    exit_code = 7
