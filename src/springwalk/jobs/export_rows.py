"""The records of a store as rows of the season folder's tables, under the headings the intake reads."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from itertools import zip_longest
from typing import Any

from springwalk.intake import cells, work_cells
from springwalk.intake.land import LEFT_AFTER, seeds_per_ha
from springwalk.intake.money import MONEY_KEYS
from springwalk.intake.start import HEADINGS
from springwalk.intake.words import GREEN
from springwalk.jobs.export_said import LENGTH_UNITS, MM_UNITS, csv_text, day, plain, said, text_cell
from springwalk.records import PLANT_STATES, Record
from springwalk.units import ACRES_PER_HA

Row = dict[str, str]
AREA_UNITS: Mapping[str, float] = {"ha": 1.0, "ac": 1.0 / ACRES_PER_HA}
SEED_UNITS: Mapping[str, float] = {"": ACRES_PER_HA, "/ha": 1.0}


def tables(records: Iterable[Record]) -> dict[str, str]:
    """The CSV tables of the records as file name → text; a table without a row is left out.

    A record that no row can say (a planting day of a planting nobody told) gives none.
    """
    by_kind: dict[str, list[Any]] = {}
    for record in records:
        by_kind.setdefault(record.kind, []).append(record)
    held = {one.id for one in by_kind.get("planting", ())}
    found = {}
    for name, (kind, rows_of) in TABLES.items():
        listed = sorted(by_kind.get(kind, ()), key=lambda one: one.natural_key())
        rows = [row for one in listed for row in rows_of(one) if _fits(one, held)]
        if rows:
            told = {column for row in rows for column in row}
            found[name] = csv_text([column for column in HEADINGS[name].all if column in told], rows)
    return found


def _fits(record: Any, plantings: Collection[str]) -> bool:
    """Whether the intake makes this record of its row and nothing else beside it."""
    if record.kind == "progress":  # of a planting nobody told it would make one
        return record.planting in plantings
    if record.kind == "event":  # a green cover beside these is read as what stood there before
        return not (record.what in LEFT_AFTER and record.cover in GREEN)
    return True


def _short(full: str | None, field: str) -> str:
    """The short name of a planting or zone."""
    return text_cell((full or "").removeprefix(f"{field}/"))


def _area(value: float | None) -> str:
    return said(value, AREA_UNITS, lambda text: cells.measure(text, "area_ha", "ac"))


def _length(value: float | None) -> str:
    return said(value, LENGTH_UNITS, lambda text: cells.measure(text, "length_m", "in"))


def _texts(record: Any, *names: str) -> Row:
    """Parts of the record that are free text under a column of the same name."""
    return {name: text_cell(getattr(record, name) or "") for name in names}


def _place(record: Any) -> Row:
    """Field, zone and planting of what was seen or done."""
    return {
        "field": text_cell(record.field),
        "zone": _short(record.zone, record.field),
        "planting": _short(record.planting, record.field),
    }


def _yes(value: bool | None) -> str:
    return "" if value is None else "yes" if value else "no"


def _planting(one: Any) -> list[Row]:
    return [
        {
            "field": text_cell(one.field), "planting": _short(one.id, one.field), "planted": day(one.planted),
            **_texts(one, "hybrid", "trait", "lot", "planter"), "row_width": _length(one.row_width_m),
            "seeds_per_acre": said(one.seeds_per_ha, SEED_UNITS, seeds_per_ha),
            "acres": _area(one.area_ha), "zone": _short(one.zone, one.field),
        }
    ]  # fmt: skip


def _zone(one: Any) -> list[Row]:
    name = _short(one.id, one.field)
    return [{"field": text_cell(one.field), "zone": name, **_texts(one, "name"), "acres": _area(one.area_ha)}]


def _event(one: Any) -> list[Row]:
    told = {"date": day(one.date), "event": one.what, "cover": one.cover or "", "hours": plain(one.hours)}
    return [{**_place(one), **told, **_texts(one, "person", "note")}]


def _trap(one: Any) -> list[Row]:
    place = {"latitude": plain(one.latitude), "longitude": plain(one.longitude)}
    return [{"trap": text_cell(one.id), "kind": one.trap_kind, **_texts(one, "name"), **place}]


def _catch(one: Any) -> list[Row]:
    told = {"since": day(one.since), "read": day(one.read), "moths": str(one.moths)}
    return [{**_texts(one, "trap", "person"), **told}]


def _walk(one: Any) -> list[Row]:
    """One row a stop, or the first alone where there is none; what is told of the whole walk stands in the first.

    Larvae come back in the order they were told: a row reads lengths, then instars, so more runs of them need rows.
    """
    larvae = _runs(one.larvae)
    head = {
        "planting": _short(one.planting, one.field), "collars": plain(one.collars), "staging": one.staging,
        "searched": "" if one.plants_searched is None else str(one.plants_searched),
        "hour": "" if one.hour is None else str(one.hour), "soil": one.soil or "",
        **_texts(one, "person", "note"),
    }  # fmt: skip
    name = {"walk": text_cell(one.id), "field": text_cell(one.field), "date": day(one.walked)}
    return [
        {**name, **(head if at == 0 else {}), **(_stop(stop, one.field) if stop else {"places": ""}), **(found or {})}
        for at, (stop, found) in enumerate(zip_longest(one.stops or (None,), larvae))
    ]


def _runs(larvae: Sequence[Any]) -> list[Row]:
    """Cells of larvae, row by row: lengths as far as they go, then instars."""
    runs: list[Row] = []
    told = ""
    for larva in larvae:
        column = "larvae_mm" if larva.length_mm is not None else "instars"
        cell = plain(larva.length_mm if larva.length_mm is not None else larva.instar)
        if not runs or (told, column) == ("instars", "larvae_mm"):
            runs.append({})
        runs[-1][column] = f"{runs[-1].get(column, '')} {cell}".strip()
        told = column
    return runs


def _stop(stop: Any, field: str) -> Row:
    counts = {state: getattr(stop, state) for state in PLANT_STATES}
    return {
        "places": str(stop.places), "part": _short(stop.part, field), "counted": _yes(stop.counted),
        **_texts(stop, "marked_row"),
        **{state: "" if count is None else str(count) for state, count in counts.items()},
    }  # fmt: skip


def _pass(one: Any) -> list[Row]:
    at = "" if one.at is None else one.at.isoformat("minutes" if one.at.second == 0 else "auto")
    told = {"date": day(one.date), "pass": one.what, "at": at, "entry_hours": plain(one.entry_hours)}
    heading = {"direction": plain(one.direction_deg)}
    return [{**_place(one), **told, **heading, **_texts(one, "product", "untreated", "person", "note")}]


def _gauge(one: Any) -> list[Row]:
    rain = said(one.rain_mm, MM_UNITS, work_cells.rain_mm)
    return [{**_texts(one, "field", "person"), "date": day(one.date), "rain": rain, "hard": _yes(one.hard)}]


def _report(one: Any) -> list[Row]:
    place = {"latitude": plain(one.latitude), "longitude": plain(one.longitude)}
    told = {"night": day(one.night), "either_way": str(one.nights_either_way)}
    return [{**_texts(one, "source", "near", "note"), **place, **told}]


def _progress(one: Any) -> list[Row]:
    told = {"planting": _short(one.planting, one.field), "date": day(one.date), "acres": _area(one.area_ha)}
    return [{**_texts(one, "field", "person"), **told}]


def _lot(one: Any) -> list[Row]:
    tests = {"warm": plain(one.warm_pct), "cold": plain(one.cold_pct)}
    return [{"lot": text_cell(one.id), **_texts(one, "hybrid", "trait", "treatment", "note"), **tests}]


def _promise(one: Any) -> list[Row]:
    told = {"every": str(one.every_days), "since": day(one.since), "until": day(one.until)}
    return [{**_texts(one, "grower", "field", "note"), **told}]


def _count(one: Any) -> list[Row]:
    found = {"insects": one.insects, "with": one.units_with, "looked": one.looked}
    told = {name: "" if number is None else str(number) for name, number in found.items()}
    size = said(one.length_mm, MM_UNITS, work_cells.length_mm)
    seen = {"date": day(one.date), "pest": one.pest, "size": size}
    return [{**_place(one), **seen, **told, **_texts(one, "unit", "person", "note")}]


def _done(one: Any) -> list[Row]:
    return [{**_texts(one, "look", "field", "person", "note"), "on": day(one.on), "outcome": one.outcome}]


def _recommendation(one: Any) -> list[Row]:
    money = {key: plain(getattr(one, name)) for key, (name, _, _) in MONEY_KEYS.items()}
    days = {"days_to_sprayer": one.days_to_sprayer, "pass_in": one.pass_in_days}
    told = {
        "date": day(one.date), "act_on": day(one.act_on), "treats": _yes(one.treats), "visit": plain(one.visit_usd),
        **money, **{name: "" if number is None else str(number) for name, number in days.items()},
    }  # fmt: skip
    joined = {"parts": text_cell("\n".join(one.parts)), "assumed": text_cell("; ".join(one.assumed))}
    made = {"engine": text_cell(one.engine_version), "settings": text_cell(one.settings_hash)}
    return [{**_texts(one, "id", "field", "said", "text", "shown", "person", "note"), **told, **joined, **made}]


def _step(one: Any) -> list[Row]:
    at = "" if one.at is None else one.at.isoformat("minutes" if one.at.second == 0 else "auto")
    counts = {name: "" if (found := getattr(one, name)) is None else str(found) for name in ("places", "larvae")}
    told = {
        "date": day(one.date), "step": one.what, "at": at, "how": one.how or "", "for": day(one.wanted_on),
        "pass": text_cell(one.pass_key), "cut_again": plain(one.cut_again_pct),
    }  # fmt: skip
    return [{**_texts(one, "recommendation", "field", "who", "where", "person", "note"), **told, **counts}]


TABLES: Mapping[str, tuple[str, Callable[[Any], list[Row]]]] = {
    "seed_lots.csv": ("seed lot", _lot),
    "plantings.csv": ("planting", _planting),
    "zones.csv": ("zone", _zone),
    "events.csv": ("event", _event),
    "progress.csv": ("progress", _progress),
    "traps.csv": ("trap", _trap),
    "catches.csv": ("catch", _catch),
    "flight_reports.csv": ("flight report", _report),
    "walks.csv": ("walk", _walk),
    "passes.csv": ("pass", _pass),
    "rain.csv": ("gauge", _gauge),
    "pest_counts.csv": ("pest count", _count),
    "promises.csv": ("promise", _promise),
    "done.csv": ("done", _done),
    "recommendations.csv": ("recommendation", _recommendation),
    "recommendation_steps.csv": ("recommendation step", _step),
}
"""Each table, the kind of record it holds, and how a record is told in it."""
