"""The next window in which the ground carries a sprayer: field by field, from the water of the surface layer."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from springwalk.jobs.rain import rain_of_fields
from springwalk.jobs.results import Seedbed
from springwalk.jobs.seedbed import seedbeds
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.terms import Terms
from springwalk.records import Gauge


def fit_on(snap: Snapshot) -> Mapping[str, date | None]:
    """The first day each field's ground is dry enough if no more rain falls, by field; None where it is fit today.

    Also None where too little rain is known to say. The measure is that of walking, so a heavy sprayer may need longer
    (assumption).
    """
    return {
        field.id: bed.fit_on if bed is not None else None
        for field, bed in zip(snap.fields, beds_today(snap), strict=True)
    }


def beds_today(snap: Snapshot) -> tuple[Seedbed | None, ...]:
    """The seedbed of each of ``snap.fields`` this morning by the rain told; None where no weather reaches."""
    if snap.cells is None:
        return (None,) * len(snap.fields)
    rain = rain_of_fields(snap.fields, snap.cells, snap.told.of(Gauge), snap.season, snap.today)
    return seedbeds(snap, rain.rain_mm, rain.known)


def passes_from(snap: Snapshot, fit: date | None, terms: Terms) -> tuple[int, ...]:
    """Days from today on which an own pass could go: not before it is there, nor before the ground carries it."""
    wait = (fit - snap.today).days if fit is not None else 0
    return tuple(sorted({max(day, wait) for day in terms.spray_in_days}))


def passes_in(snap: Snapshot, field_id: str, terms: Terms) -> tuple[int, ...]:
    """The same for one field by its id."""
    return passes_from(snap, fit_on(snap)[field_id], terms)
