"""When to stop counting in a field today: snapshot → belief → losses → stop table. Writes nothing.

Treating stands for a search for larvae first: where one is found the field is treated, where none is, one comes back.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import belief as believing
from springwalk.engine.advice_facts import FieldFacts, Money
from springwalk.engine.assess import assess
from springwalk.engine.belief_larvae import detection
from springwalk.engine.hazard import Hazard, hazards
from springwalk.engine.losses import Plants, outlook
from springwalk.engine.options import Setting, setting, sure_options
from springwalk.engine.state_rule import Counted
from springwalk.engine.stopping import StopTable, stop_cost
from springwalk.engine.stopping_later import come_back
from springwalk.engine.stopping_search import larvae_per_search, treat_if_found
from springwalk.engine.visits import Later, Seen, Visits, visits
from springwalk.errors import NotFound
from springwalk.jobs.params_advice import advice_params
from springwalk.jobs.params_stopping import StopParams, stop_params
from springwalk.jobs.sheet import asked_at
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.stop_told import Answer, FieldStops, PartStops, StopSaid
from springwalk.jobs.terms import Hours, Terms
from springwalk.jobs.walks_seen import walks_seen
from springwalk.records import Pass
from springwalk.store import Store

Array = NDArray[np.float64]

LATER_DAYS = (3, 7)
FRESH_DAYS = 2
SEARCH_HOUR, SEARCH_SOIL = 10, "moist"


def stop_table(store: Store, field_id: str, terms: Terms, hours: Hours, *, today: date | None = None) -> FieldStops:
    """The stop tables of a field on the morning of ``today``; raises NotFound, OutsideSeason, StoreError."""
    day = asked_at(season_of(store), today).date()
    return stop_table_of(snapshot(store, today=day), field_id, terms, hours)


def stop_table_of(snap: Snapshot, field_id: str, terms: Terms, hours: Hours) -> FieldStops:
    """The same from a snapshot; pure. Walks dated today are left out: they are the count that is being made."""
    field = snap.fields[field_at(snap, field_id)]
    field_id, name = field.id, field.name
    if snap.inputs is None:
        raise NotFound("weather", field_id, "no weather reaches the field", "take in days of a station near it")
    walked = {ident for ident, found in snap.walks.items() if found}
    units = [k for k, u in enumerate(snap.units) if u.field.id in walked or u.field.id == field_id]
    place = np.array(units, np.int64)
    grid, params = believing.make_grid(), advice_params()
    hazard = hazards(snap.inputs, snap.settings.engine, place, grid.shifts_ddc)
    load = assess(snap.inputs, snap.settings.engine, cells=sorted({int(snap.inputs.cell[k]) for k in units}))
    day = (snap.today - snap.season.begins).days
    before = [walk for walk in walks_seen(snap, units) if walk.day < day]
    belief = believing.believe(before, hazard, load.larvae_per_100[place], grid, params.belief)
    mine = [at for at, k in enumerate(units) if snap.units[k].field.id == field_id and not _treated(snap, k)]
    parts = tuple(_part(snap, units[at], at, belief, hazard, terms, hours) for at in mine)
    return FieldStops(field=field_id, name=name, today=snap.today, parts=parts)


def _treated(snap: Snapshot, k: int) -> bool:
    unit = snap.units[k]
    zone, planting = unit.zone.id if unit.zone else None, unit.planting.id if unit.planting else None
    return any(
        done.what == "insecticide"
        and done.field == unit.field.id
        and done.date <= snap.today
        and done.zone in (None, zone)
        and done.planting in (None, planting)
        for done in snap.told.of(Pass)
    )


def _part(
    snap: Snapshot, k: int, at: int, belief: believing.Belief, hazard: Hazard, terms: Terms, hours: Hours
) -> PartStops:
    unit, params, day = snap.units[k], stop_params(), (snap.today - snap.season.begins).days
    collars = float(hazard.collars[at, min(day, hazard.collars.shape[1] - 1)])
    facts = FieldFacts(
        money=Money(terms.crop_per_ha, terms.own_pass_per_ha, terms.product_per_ha, terms.visit / unit.area_ha),
        plants=Plants(collars=collars),
        counted=Counted(cut=0.0),
        spray_in_days=terms.spray_in_days,
        pass_in_days=terms.pass_in_days,
    )
    one = setting(belief.weight[at], belief.grid.lam, outlook(hazard, at, day), facts, advice_params())
    a_stop = stop_cost(params.minutes_per_stop, wage_per_h=hours.wage_per_h, hour_worth=hours.worth_per_h)
    ways = [_visits(one, hazard, at, day, unit.area_ha, params, a_stop, terms, hours, fresh) for fresh in (False, True)]
    fresh = bool(ways[1].prize[0] > ways[0].prize[0])
    return _said(snap, k, ways[fresh], fresh, a_stop)


def _visits(
    one: Setting, hazard: Hazard, at: int, day: int, area_ha: float, params: StopParams, a_stop: float, terms: Terms,
    hours: Hours, fresh: bool,
) -> Visits:  # fmt: skip
    """The visit of one part, money for its whole area, counting all cuts or fresh ones."""
    count, a_search = params.count, _search_cost(params, hours)
    plants = params.plants_per_search * params.most_searches
    cost = terms.visit + params.stops_later * a_stop
    later = []
    for wait in LATER_DAYS:
        leave, treat = _losses(one, area_ha, wait)
        treat = treat_if_found(treat, leave, _larvae(one, plants, wait), a_search)
        later.append(Later(wait, _seen(one, hazard, at, day + wait, fresh), leave, treat, cost))
    leave, treat = _losses(one, area_ha, 0)
    waits = come_back(
        later[0].leave, later[0].treat, later[0].seen.cut_share, later[0].seen.cuts_per_larva, cost,
        stops=params.stops_later, params=count,
    )  # fmt: skip
    none_found = waits[:, (one.weight * waits[0]).sum(axis=(1, 2)).argmin()]
    searched = treat_if_found(treat, none_found, _larvae(one, plants, 0), a_search)
    return visits(
        one.weight[None], np.stack([leave, searched], axis=1), _seen(one, hazard, at, day, fresh), tuple(later), a_stop,
        stops_later=params.stops_later, params=count,
    )  # fmt: skip


def _search_cost(params: StopParams, hours: Hours) -> float:
    """Money of the longest search for larvae."""
    each = stop_cost(params.minutes_per_search, wage_per_h=hours.wage_per_h, hour_worth=hours.worth_per_h)
    return params.most_searches * each


def _losses(one: Setting, area_ha: float, wait: int) -> tuple[Array, Array]:
    """Losses (1, L, S) for the part's whole area of leaving, and of the best way to treat ``wait`` days from now."""
    options = sure_options(one, not_before=wait)
    leave = one.mean(options[0].losses)
    treat = min((one.mean(o.losses) for o in options[1:]), key=lambda loss: float((one.weight * loss).sum()))
    return area_ha * leave[None], area_ha * treat[None]


def _larvae(one: Setting, plants: float, wait: int) -> Array:
    """Larvae (1, L, S) a search round so many plants would find in the morning ``wait`` days from now."""
    belief = one.params.belief
    found = one.view.stages[:, wait, 1:5] @ np.array(belief.sizes.found)
    each = detection(SEARCH_HOUR, SEARCH_SOIL, belief)
    return larvae_per_search(one.lam[:, None], found[None, :], plants=plants, detection=each)[None]


def _seen(one: Setting, hazard: Hazard, at: int, day: int, fresh: bool) -> Seen:
    unit, found = believing.of_unit(hazard, at), one.params.belief.cut_found
    cuts = unit.cut_by(day) - (unit.cut_by(day - FRESH_DAYS) if fresh else 0.0)
    share = -np.expm1(-one.lam[:, None] * found * cuts[None, :] / 100.0)
    return Seen(share[None], found * cuts[None])


def _said(snap: Snapshot, k: int, made: Visits, fresh: bool, a_stop: float) -> PartStops:
    unit, table = snap.units[k], made.table
    without, on = _answer(snap, made, int(table.best_without[0]))
    return PartStops(
        planting=unit.planting.id if unit.planting else None,
        zone=unit.zone.name if unit.zone else None,
        area_ha=unit.area_ha,
        fresh_only=fresh,
        places_per_stop=table.params.places,
        most_cut=table.params.most_cut,
        stop_cost=a_stop,
        worth=float(made.prize[0]),
        stops_expected=float(made.stops[0]),
        without=without,
        without_on=on,
        lost_without=float(table.without[0]),
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
        then = table.held[now.k + 1]
        reached = np.zeros(len(then.x), bool)
        for way in now.onward:
            able = go[: way.rows] & (now.x[: way.rows] >= table.params.most_cut - table.params.places)
            reached[way.to[able if way.seen < 0 else go[: way.rows]]] = True
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
