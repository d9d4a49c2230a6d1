"""The receipt of one entry: what was noted, whether it was new, and what it stands in place of."""

from __future__ import annotations

from typing import Literal

from springwalk.jobs.results import Reason, Result

Outcome = Literal["new", "same", "revised", "conflict", "taken back", "brought back"]
"""``same`` and ``conflict`` wrote nothing; ``brought back`` is an undo that put the version before in its place."""


class Entered(Result):
    """What one entry did. ``key`` names the thing; ``entry`` is the new entry, by which it is undone (None = nothing
    was written). ``field`` "" means every field; ``name`` is what people call the field.
    """

    key: str
    entry: str | None
    put: Outcome
    field: str
    name: str
    said: Reason
    """What was told: code ``entered_event``, ``entered_gauge`` …; the facts are the record's, units in their names."""
    before: Reason | None = None
    """What was held until now, where that was changed."""

    @property
    def undoable(self) -> str | None:
        """The entry by which this is taken back; None where nothing was written, or by an undo."""
        return self.entry if self.put in ("new", "revised") else None
