"""When to stop counting in a field today: snapshot → belief → losses → stop table. Writes nothing.

Treating stands for a search for larvae first: where one is found the field is treated, where none is, one comes back.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from springwalk.engine.many import Costs, Many, all_losses
from springwalk.engine.stopping import StopTable
from springwalk.engine.values import Valued, better, visits_of
from springwalk.engine.visits import Visits
from springwalk.jobs.believed import believed_of_field
from springwalk.jobs.fit import fit_on
from springwalk.jobs.sheet import asked_at
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.stop_told import Answer, FieldStops, PartStops, StopSaid
from springwalk.jobs.terms import Hours, Terms
from springwalk.jobs.worth import costs_of, many_of
from springwalk.store import Store


def stop_table(store: Store, field_id: str, terms: Terms, hours: Hours, *, today: date | None = None) -> FieldStops:
    """The stop tables of a field on the morning of ``today``; raises NotFound, OutsideSeason, StoreError."""
    day = asked_at(season_of(store), today).date()
    return stop_table_of(snapshot(store, today=day), field_id, terms, hours)


def stop_table_of(snap: Snapshot, field_id: str, terms: Terms, hours: Hours) -> FieldStops:
    """The same from a snapshot; pure. Walks dated today are left out: they are the count that is being made."""
    field = snap.fields[field_at(snap, field_id)]
    field_id, name = field.id, field.name
    known, mine = believed_of_field(snap, field_id, before_today=True)
    costs, fit = costs_of(terms, hours), fit_on(snap)
    parts = tuple(_part(snap, known.units[at], many_of(snap, known, terms, [at], fit), costs) for at in mine)
    return FieldStops(field=field_id, name=name, today=snap.today, parts=parts)


def _part(snap: Snapshot, k: int, many: Many, costs: Costs) -> PartStops:
    losses = all_losses(many, costs)
    ways = [visits_of(many, costs, losses, fresh=fresh) for fresh in (False, True)]
    use, without, wait_days = better(ways[0], ways[1])
    fresh = bool(use[0])
    valued = replace(ways[fresh], without=without, wait_days=wait_days)
    return _said(snap, k, valued, fresh, costs.stop, found=bool(many.live[0]))


def _said(snap: Snapshot, k: int, valued: Valued, fresh: bool, a_stop: float, *, found: bool) -> PartStops:
    unit, made, table = snap.units[k], valued.visits, valued.visits.table
    wait = int(valued.wait_days[0])
    without: Answer = "come back" if wait > 0 else "leave" if wait == 0 else "treat"
    on = snap.today + timedelta(days=wait) if wait > 0 else None
    return PartStops(
        planting=unit.planting.id if unit.planting else None,
        zone=unit.zone.name if unit.zone else None,
        area_ha=unit.area_ha,
        fresh_only=fresh,
        places_per_stop=table.params.places,
        most_cut=table.params.most_cut,
        stop_cost=a_stop,
        larvae_found=found,
        worth=float(valued.prize[0]),
        stops_expected=float(valued.stops[0]),
        search_odds=float(valued.searches[0]),
        without=without,
        without_on=on,
        lost_without=float(valued.without[0]),
        table=_states(snap, made, table),
    )


def _answer(snap: Snapshot, made: Visits, action: int) -> tuple[Answer, date | None]:
    if made.days[action]:
        return "come back", snap.today + timedelta(days=int(made.days[action]))
    return ("leave", None) if action == 0 else ("search and treat", None)


def _states(snap: Snapshot, made: Visits, table: StopTable) -> tuple[StopSaid, ...]:
    """Every state a count that follows the table can come to, the first one apart."""
    out = []
    reached = np.ones(1, bool)
    for now in table.held[:-1]:
        go = reached & table.go_on[now.k][:, 0]
        reached = np.zeros(len(table.held[now.k + 1].x), bool)
        reached[now.to[go[: len(now.to)]]] = True
        for row in np.flatnonzero(reached).tolist():
            out.append(_state(snap, made, now.k + 1, row))
    return tuple(out)


def _state(snap: Snapshot, made: Visits, k: int, row: int) -> StopSaid:
    table, held = made.table, made.table.held[k]
    answer, on = ("count on", None) if table.go_on[k][row, 0] else _answer(snap, made, int(table.best[k][row, 0]))
    return StopSaid(
        stops=k, cut=int(held.x[row]), stops_with=int(held.j[row]), chance=float(table.chance[k][row, 0]),
        answer=answer, on=on,
    )  # fmt: skip
