"""How long to search for larvae in a field today: snapshot → belief → losses → search table. Writes nothing.

The search comes after the count: today's walks are in belief. Nothing is treated where no larva is found, neither today
nor on a later look; money is priced as in the stop table, so that the two agree.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal

from springwalk.engine.found import BEST_SOIL, treatable
from springwalk.engine.options import DUSK_HOUR
from springwalk.engine.searches import Searches, by_day, searches
from springwalk.errors import BadValue
from springwalk.jobs.believed import Believed, believed_of_field
from springwalk.jobs.fit import fit_on
from springwalk.jobs.params_advice import advice_params
from springwalk.jobs.params_stopping import stop_params
from springwalk.jobs.results import Result
from springwalk.jobs.sheet import asked_at
from springwalk.jobs.snapshot import Snapshot, field_at, season_of, snapshot
from springwalk.jobs.terms import Hours, Terms
from springwalk.jobs.walks_seen import last_search, search_tells_days, searched_since
from springwalk.jobs.worth import costs_of, many_of
from springwalk.store import Store
from springwalk.units import ACRES_PER_HA

SearchAnswer = Literal["go on", "treat", "come back", "leave"]
DUSK, MOIST = DUSK_HOUR, BEST_SOIL
"""When and in what soil the search is taken to be made where nothing else is told."""
NoSearch = Literal["", "not up", "nothing there"]


class SearchSaid(Result):
    """After so many plants: what to do where no larva was found, and where one of treatable size was.

    ``chance_none`` (0–1) that none is found by then, as believed before the first; ``on`` the day to come back;
    ``found_margin_per_ac`` money an acre that treating loses less than the best way not to, with one found by then.
    """

    plants: int
    chance_none: float
    none: SearchAnswer
    none_on: date | None
    found: SearchAnswer
    found_on: date | None
    found_margin_per_ac: float


class PartSearch(Result):
    """The search table of one planting × zone, money for the whole part. ``table`` is empty where no search pays.

    ``worth`` is what the search is worth, its time paid; ``without`` what is best where nobody searches today: to leave
    it, or to come back, when a treatment needs a larva found as well (to treat only where one was found in the last
    days); ``found_before`` treatable larvae found in the last days, after which no search is needed; ``no_search`` why
    none can pay: the corn is not up, or no larva can be there to be found.
    """

    planting: str | None
    zone: str | None
    area_ha: float
    worth: float
    minutes: float
    without: SearchAnswer
    without_on: date | None
    found_before: int
    no_search: NoSearch
    table: tuple[SearchSaid, ...]


class FieldSearch(Result):
    """Search tables of a field's parts; parts treated with an insecticide have none.

    ``batch`` plants are searched at a time; beyond ``most_plants`` nothing is worked out. ``against_day`` is how many
    times the larvae it finds that the search by day does on which the stop table and every later visit count.
    """

    field: str
    name: str
    today: date
    hour: int
    soil: str
    batch: int
    most_plants: int
    against_day: float
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
    known, mine = believed_of_field(snap, field.id)
    params = stop_params()
    many, costs = many_of(snap, known, terms, mine, fit_on(snap)), costs_of(terms, hours)
    better = by_day(hour, soil, many)
    made = (
        searches(many, costs, better=better, batches=params.most_searches, tells_days=search_tells_days())
        if mine
        else None
    )
    return FieldSearch(
        field=field.id, name=field.name, today=snap.today, hour=hour, soil=soil, batch=int(params.plants_per_search),
        most_plants=int(costs.plants), against_day=better,
        parts=() if made is None else tuple(_part(snap, known, at, made, row) for row, at in enumerate(mine)),
    )  # fmt: skip


def _part(snap: Snapshot, known: Believed, at: int, made: Searches, row: int) -> PartSearch:
    unit, params = snap.units[known.units[at]], stop_params()
    before = last_search(known.walks_of(at), since=searched_since(snap))
    without, on = ("treat", None) if made.treat_now[row] else _wait(snap, made, int(made.way[row]))
    no_search: NoSearch = "not up" if made.not_up[row] else "nothing there" if made.nothing[row] else ""
    return PartSearch(
        planting=unit.planting.id if unit.planting else None, zone=unit.zone.name if unit.zone else None,
        area_ha=unit.area_ha, worth=float(made.worth[row]), minutes=params.minutes_per_search, without=without,
        without_on=on, found_before=treatable(before, advice_params().found), no_search=no_search,
        table=() if made.needless[row] else _rows(snap, made, row, unit.area_ha * ACRES_PER_HA),
    )  # fmt: skip


def _rows(snap: Snapshot, made: Searches, row: int, acres: float) -> tuple[SearchSaid, ...]:
    """The table down to where a search that finds nothing ends; empty where none begins."""
    out, batch = [], int(stop_params().plants_per_search)
    for m in range(1, made.table.go_on.shape[0]):
        if not made.table.go_on[m - 1, 0, row]:
            break
        none, none_on = _answer(snap, made, m, 0, row)
        found, found_on = _answer(snap, made, m, 1, row)
        out.append(
            SearchSaid(
                plants=m * batch, chance_none=float(made.none[m, row]), none=none, none_on=none_on, found=found,
                found_on=found_on, found_margin_per_ac=float(made.table.margin[m, 1, row]) / acres,
            )
        )  # fmt: skip
    return tuple(out)


def _answer(snap: Snapshot, made: Searches, m: int, y: int, row: int) -> tuple[SearchAnswer, date | None]:
    """What to do after m batches with y larvae."""
    if made.table.go_on[m, y, row]:
        return "go on", None
    return ("treat", None) if made.table.treat[m, y, row] else _wait(snap, made, int(made.table.wait[m, y, row]))


def _wait(snap: Snapshot, made: Searches, way: int) -> tuple[SearchAnswer, date | None]:
    days = int(made.days[way])
    return ("come back", snap.today + timedelta(days=days)) if days else ("leave", None)
