"""Larvae still there against the corn of a replant, and against the old stand were it kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.hazard import hazards
from springwalk.engine.losses import outlook
from springwalk.engine.replant import share_cut
from springwalk.engine.working import Inputs
from springwalk.jobs.believed import Believed, believed, walked_units
from springwalk.jobs.replant_said import LarvaeSaid
from springwalk.jobs.results import Range
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.walks_seen import treated


def larvae_of(snap: Snapshot, units: Sequence[int], day: date, *, planted: date | None = None) -> dict[int, LarvaeSaid]:
    """What larvae are expected to cut in each of some units (places in ``snap.units``) replanted on ``day``.

    ``planted`` goes before the planting date of the store. Left out: treated units, and all where no weather reaches
    the season. What is believed is as for advice, fields walked lately asked together with these.
    """
    mine = [k for k in units if not treated(snap, k)]
    if snap.inputs is None or not mine:
        return {}
    inputs = _planted(snap.inputs, mine, _index(snap, planted)) if planted else snap.inputs
    told = believed(replace(snap, inputs=inputs), sorted({*mine, *walked_units(snap)}))
    assert told is not None
    again = hazards(
        _replanted(inputs, mine, _index(snap, day)), snap.settings.engine, np.array(mine, np.int64),
        told.hazard.shifts_ddc,
    )  # fmt: skip
    return {k: _said(snap, told, told.units.index(k), again.cut_member[:, at]) for at, k in enumerate(mine)}


def _index(snap: Snapshot, day: date) -> float:
    """A day's index, held inside the season."""
    last = (snap.season.ends - snap.season.begins).days
    return float(min(max((day - snap.season.begins).days, 0), last))


def _planted(inputs: Inputs, units: Sequence[int], day: float) -> Inputs:
    planted = inputs.planted.copy()
    planted[list(units)] = day
    return replace(inputs, planted=planted)


def _replanted(inputs: Inputs, units: Sequence[int], day: float) -> Inputs:
    """The season in which these units' corn is planted on ``day``, their larvae having lived by the stand there is."""
    none = np.full(len(inputs.planted), np.nan)
    first = none if inputs.first_planted is None else inputs.first_planted.copy()
    at = list(units)
    first[at] = np.where(np.isnan(first[at]), inputs.planted[at], first[at])
    return replace(_planted(inputs, units, day), first_planted=first)


def _said(snap: Snapshot, told: Believed, at: int, again: NDArray[np.float64]) -> LarvaeSaid:
    """One unit, by its place in what is believed; ``again`` (member, shift, day) plants of the new corn cut by then."""
    today = (snap.today - snap.season.begins).days
    lam, weight = told.belief.grid.lam, told.belief.weight[at]
    new = share_cut(again[..., -1], lam, weight)
    view = outlook(told.hazard, at, today)
    walks = [walk for walk in told.walks_of(at) if any(stop.counted for stop in walk.stops)]
    return LarvaeSaid(
        cut_new=_range(new), cut_old=_range(share_cut(view.total, lam, weight)),
        walked=snap.season.begins + timedelta(days=walks[-1].day) if walks else None,
        places=sum(stop.places for stop in walks[-1].stops if stop.counted) if walks else 0,
    )  # fmt: skip


def _range(found: tuple[float, float, float]) -> Range:
    mean, low, high = found
    return Range(low=low, mid=mean, high=high)
