"""How long to search for larvae in a field today: snapshot → belief → losses → search table. Writes nothing.

The search comes after the count: today's walks are in belief. Where none is found the field is never treated.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from springwalk.engine import belief as believing
from springwalk.engine.advice_facts import FieldFacts, Money
from springwalk.engine.belief_larvae import detection
from springwalk.engine.belief_seen import WalkSeen
from springwalk.engine.found import treatable
from springwalk.engine.hazard import Hazard
from springwalk.engine.losses import Plants, outlook
from springwalk.engine.options import Option, Setting, come_back, count_look, setting, sure_options
from springwalk.engine.state_rule import Counted
from springwalk.engine.stopping import stop_cost
from springwalk.engine.stopping_search import SearchTable, larvae_per_search, search_tables
from springwalk.errors import BadValue, NotFound
from springwalk.jobs.believed import believed, walked_units
from springwalk.jobs.fit import passes_in
from springwalk.jobs.params_advice import advice_params
from springwalk.jobs.params_stopping import StopParams, stop_params
from springwalk.jobs.results import Result
from springwalk.jobs.sheet import asked_at
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.terms import Hours, Terms
from springwalk.jobs.walks_seen import last_search, treated
from springwalk.store import Store
from springwalk.tables import number

Array = NDArray[np.float64]
SearchAnswer = Literal["go on", "treat", "come back", "leave"]
DUSK, MOIST = 20, "moist"
"""When and in what soil the search is taken to be made where nothing else is told."""


class SearchSaid(Result):
    """After so many plants: what to do where no larva was found, and where one of treatable size was.

    ``chance_none`` (0–1) that none is found by then, as believed before the first; ``on`` the day to come back.
    """

    plants: int
    chance_none: float
    none: SearchAnswer
    none_on: date | None
    found: SearchAnswer
    found_on: date | None


class PartSearch(Result):
    """The search table of one planting × zone, money for the whole part. ``table`` is empty where no search pays.

    ``worth`` is what the search is worth, its time paid; ``without`` what is best where nobody searches (never
    treating); ``found_before`` treatable larvae found in the last days, after which no search is needed.
    """

    planting: str | None
    zone: str | None
    area_ha: float
    worth: float
    minutes: float
    without: SearchAnswer
    without_on: date | None
    found_before: int
    table: tuple[SearchSaid, ...]


class FieldSearch(Result):
    """Search tables of a field's parts; parts treated with an insecticide have none.

    ``batch`` plants are searched at a time; beyond ``most_plants`` nothing is worked out.
    """

    field: str
    name: str
    today: date
    hour: int
    soil: str
    batch: int
    most_plants: int
    parts: tuple[PartSearch, ...]


def search_table(
    store: Store, field_id: str, terms: Terms, hours: Hours, *, today: date | None = None, hour: int = DUSK,
    soil: str = MOIST,
) -> FieldSearch:  # fmt: skip
    """The search tables of a field on ``today``; raises NotFound, OutsideSeason, StoreError, BadValue for the hour."""
    day = asked_at(season_of(store), today).date()
    return search_table_of(snapshot(store, today=day), field_id, terms, hours, hour=hour, soil=soil)


def search_table_of(
    snap: Snapshot, field_id: str, terms: Terms, hours: Hours, *, hour: int = DUSK, soil: str = MOIST
) -> FieldSearch:
    """The same from a snapshot; pure. The search is made at ``hour`` (0–23) in ``soil``."""
    field = snap.fields[field_at(snap, field_id)]
    if not 0 <= hour <= 23:
        raise BadValue("hour", hour, "not an hour of the day", "give 0 to 23")
    units = sorted({*walked_units(snap), *(k for k, unit in enumerate(snap.units) if unit.field.id == field.id)})
    known = believed(snap, units)
    if known is None:
        raise NotFound("weather", field.id, "no weather reaches the field", "take in days of a station near it")
    hazard, belief, walks = known.hazard, known.belief, known.walks
    mine = [at for at, k in enumerate(units) if snap.units[k].field.id == field.id and not treated(snap, k)]
    passes = passes_in(snap, field.id, terms)
    each = detection(hour, soil, advice_params().belief)
    parts = []
    for at in mine:
        since = known.today - int(number("advice", "search_tells").value)
        before = last_search([walk for walk in walks if walk.unit == at], since=since)
        parts.append(_part(snap, units[at], at, belief, hazard, terms, hours, each, before, passes))
    return FieldSearch(
        field=field.id, name=field.name, today=snap.today, hour=hour, soil=soil,
        batch=int(stop_params().plants_per_search),
        most_plants=int(stop_params().plants_per_search * stop_params().most_searches), parts=tuple(parts),
    )  # fmt: skip


def _part(
    snap: Snapshot, k: int, at: int, belief: believing.Belief, hazard: Hazard, terms: Terms, hours: Hours,
    each: float, before: WalkSeen | None, passes: tuple[int, ...],
) -> PartSearch:  # fmt: skip
    """One part: what is lost by treating, and by each way not to, then the table between them."""
    unit, params, day = snap.units[k], stop_params(), (snap.today - snap.season.begins).days
    facts = FieldFacts(
        money=Money(terms.crop_per_ha, terms.own_pass_per_ha, terms.product_per_ha, terms.visit / unit.area_ha),
        plants=Plants(collars=float(hazard.collars[at, min(day, hazard.collars.shape[1] - 1)])),
        counted=Counted(cut=0.0), spray_in_days=passes, pass_in_days=terms.pass_in_days,
    )  # fmt: skip
    one = setting(belief.weight[at], belief.grid.lam, outlook(hazard, at, day), facts, advice_params())
    leave, *treating = sure_options(one)
    waits = (leave, *(come_back(one, wait, count_look(one)) for wait in facts.look_in_days))
    treat = unit.area_ha * one.mean(min(treating, key=lambda o: one.expected(o.losses)).losses)
    ways = [unit.area_ha * one.mean(option.losses) for option in waits]
    first = min(range(len(waits)), key=lambda w: float((one.weight * ways[w]).sum()))
    expected, a_batch = _per_batch(one, params, each), _batch_cost(params, hours)
    made = search_tables(
        one.weight[None], treat[None], ways[first][None], expected[None], a_batch, most=params.most_searches
    )
    told = _Told(snap, one, expected, tuple(ways), waits, made)
    without, on = told.wait(0, 0)
    return PartSearch(
        planting=unit.planting.id if unit.planting else None, zone=unit.zone.name if unit.zone else None,
        area_ha=unit.area_ha,
        worth=max(0.0, float((one.weight * ways[first]).sum()) - float(made.loss[0, 0, 0])),
        minutes=params.minutes_per_search, without=without, without_on=on,
        found_before=treatable(before, advice_params().found), table=told.rows(int(params.plants_per_search)),
    )  # fmt: skip


def _per_batch(one: Setting, params: StopParams, each: float) -> Array:
    """Larvae (L, S) that a search round one batch of plants finds today; ``each`` is the share found of large ones."""
    found = one.view.stages[:, 0, 1:5] @ np.array(one.params.belief.sizes.found)
    return larvae_per_search(one.lam[:, None], found[None, :], plants=params.plants_per_search, detection=each)


def _batch_cost(params: StopParams, hours: Hours) -> float:
    return stop_cost(params.minutes_per_search, wage_per_h=hours.wage_per_h, hour_worth=hours.worth_per_h)


class _Told:
    """A search table read out: what to do after so many batches with none or one found."""

    def __init__(
        self, snap: Snapshot, one: Setting, expected: Array, ways: tuple[Array, ...], waits: tuple[Option, ...],
        made: SearchTable,
    ) -> None:  # fmt: skip
        self.snap, self.one, self.expected, self.ways, self.waits, self.made = snap, one, expected, ways, waits, made

    def rows(self, batch: int) -> tuple[SearchSaid, ...]:
        """The table down to where a search that finds nothing ends; empty where none begins."""
        out = []
        for m in range(1, self.made.go_on.shape[0]):
            if not self.made.go_on[m - 1, 0, 0]:
                break
            none, none_on = self._answer(m, 0)
            found, found_on = self._answer(m, 1)
            chance = float(self._weight(m, 0).sum())
            out.append(SearchSaid(plants=m * batch, chance_none=chance, none=none, none_on=none_on, found=found,
                                  found_on=found_on))  # fmt: skip
        return tuple(out)

    def _answer(self, m: int, y: int) -> tuple[SearchAnswer, date | None]:
        if self.made.go_on[m, y, 0]:
            return "go on", None
        return ("treat", None) if self.made.treat[m, y, 0] else self.wait(m, y)

    def wait(self, m: int, y: int) -> tuple[SearchAnswer, date | None]:
        """The best of what is not treating, believing what m batches with y larvae say."""
        weight = self._weight(m, y)
        best = min(range(len(self.ways)), key=lambda w: float((weight * self.ways[w]).sum()))
        option = self.waits[best]
        if option.kind == "leave":
            return "leave", None
        return "come back", self.snap.today + timedelta(days=option.days)

    def _weight(self, m: int, y: int) -> Array:
        """Belief (L, S) times the chance of y (0 or 1) larvae in m batches."""
        mean = m * self.expected
        return np.asarray(self.one.weight * np.exp(-mean) * mean**y)
