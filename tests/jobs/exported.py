"""Made-up records of every kind, the store that holds them, and stores made again from an export."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, time
from pathlib import Path
from typing import Any

from springwalk.jobs.export import RAW
from springwalk.jobs.take_in import take_in
from springwalk.records import (
    Catch,
    Done,
    Event,
    FlightReport,
    Forecast,
    Gauge,
    Larva,
    Pass,
    PestCount,
    Planting,
    Progress,
    Promise,
    Recommendation,
    Record,
    SeedLot,
    Step,
    Stop,
    Trap,
    Walk,
    Zone,
)
from springwalk.store import Store, open_store
from springwalk.store.days import days
from springwalk.store.entries import heads, put_record
from tests.seasons import write_season

END = date(2016, 12, 31)
LAND = """\
{"type": "FeatureCollection", "features": [
{"type": "Feature", "properties": {"id": "north", "name": "=North \\"eighty\\", ü", "grower": "Invented Farms",
 "note": "two\\nlines", "elevation": "371.5m", "texture": "silt loam", "previous_crop": "corn",
 "history": ["rye cover", "slugs before"]},
 "geometry": {"type": "Polygon", "coordinates": [[[-96.86, 40.71], [-96.854, 40.71], [-96.8541234567891, 40.716],
 [-96.86, 40.716], [-96.86, 40.71]]]}},
{"type": "Feature", "properties": {"id": "east", "name": "East"},
 "geometry": {"type": "MultiPolygon", "coordinates": [[[[-96.84, 40.7], [-96.834, 40.7], [-96.834, 40.706],
 [-96.84, 40.706], [-96.84, 40.7]]]]}}]}
"""
PLANTED = Planting(
    id="north/1", field="north", planted=date(2016, 5, 5), hybrid="Invented 1", trait="-none", lot="L1",
    planter="12-row", seeds_per_ha=80000.0, row_width_m=0.762, area_ha=17.123456789,
)  # fmt: skip
EVERY_KIND: tuple[Record, ...] = (
    PLANTED,
    Planting(id="east/a", field="east"),
    Planting(id="north/2", field="north", planted=date(2016, 5, 26), zone="north/low"),
    Zone(id="north/low", field="north", name="Low ground", area_ha=2.0),
    SeedLot(id="L1", hybrid="Invented 1", trait="t", treatment="@treated", warm_pct=95.5, cold_pct=80, note="n"),
    Event(field="north", date=date(2016, 4, 10), what="weeds seen", cover="dense", person="A"),
    Event(field="north", date=date(2016, 4, 10), what="cover killed", cover="residue", zone="north/low"),
    Event(field="north", date=date(2016, 4, 12), what="tilled", cover="black", planting="north/1", note="a, b\nc"),
    Event(field="east", date=date(2016, 5, 2), what="ponding", hours=36.25),
    Trap(id="T1", name="Creek", trap_kind="wing", latitude=40.7050001, longitude=-96.855),
    Catch(trap="T1", since=date(2016, 4, 14), read=date(2016, 4, 16), moths=12, person="+A"),
    FlightReport(source="letter", near="Mill Town", latitude=40.9, longitude=-96.7, night=date(2016, 4, 18),
                 nights_either_way=1, note="x"),
    FlightReport(source="call", latitude=40.91, longitude=-96.7, night=date(2016, 4, 19)),
    Walk(id="w-1", field="north", planting="north/1", walked=date(2016, 5, 14), person="A", collars=2.3,
         stops=(Stop(places=20, part="north/low", fresh_cut_at=1, sound=19), Stop(places=20, counted=False, double=2),
                Stop(places=30, marked_row="=r1", empty_place=3, sound=0)),
         larvae=(Larva(length_mm=14.5), Larva(length_mm=8)), plants_searched=20, hour=17, soil="moist", note="n\nm"),
    Walk(id="w-2", field="east", walked=date(2016, 5, 14), staging="leaves", collars=4, stops=(Stop(places=10),)),
    Pass(field="north", date=date(2016, 5, 12), what="insecticide", at=time(14, 30), zone="north/low",
         planting="north/1", product="made-up 1", entry_hours=24, direction_deg=359.5, untreated="east edge",
         person="A", note="n"),
    Gauge(date=date(2016, 5, 13), rain_mm=33.3, hard=True, person="A"),
    Gauge(field="east", date=date(2016, 5, 13), rain_mm=8.889999999999999, hard=False),
    Progress(planting="north/1", field="north", date=date(2016, 5, 5), area_ha=12.140569, person="A"),
    Promise(grower="Invented Farms", every_days=7, since=date(2016, 5, 1), until=date(2016, 6, 10), note="n"),
    Promise(field="east", every_days=10, since=date(2016, 3, 1)),
    PestCount(field="north", date=date(2016, 5, 14), pest="slug", unit="plant", looked=50, insects=4, units_with=3,
              length_mm=11.3, zone="north/low", planting="north/1", person="A", note="n"),
    Done(look="hail:east:", field="east", on=date(2016, 5, 15), outcome="set aside", person="A", note="seen by car"),
    Recommendation(
        id="north:2016-05-14:0a1b", field="north", date=date(2016, 5, 14), said="=Spray on 15 May.\n\n− label, °F",
        parts=("Low ground: spray on 15 May.", "@The rest: leave it."), text="-North: spray.\nWhy\nThe label",
        act_on=date(2016, 5, 15), crop_bu_ac=199.99, price_usd_bu=4.05, pass_usd_ac=16, product_usd_ac=0,
        wage_usd_h=25.5, days_to_sprayer=1, visit_usd=16.666666666666668, pass_in_days=3, assumed=("wage", "crop"),
        engine_version="1", settings_hash="+00e1", shown='{"field": "north", "cut": 1e-07, "what": [null, "a, b"]}',
        person="A", note="n\nm"),
    Recommendation(id="by hand", field="east", date=date(2016, 5, 15), said="Hoe the crust.", treats=False),
    Step(recommendation="north:2016-05-14:0a1b", field="north", date=date(2016, 5, 14), what="told", at=time(6, 30),
         who="@Ann", how="in person", person="A", note="n"),
    Step(recommendation="north:2016-05-14:0a1b", field="north", date=date(2016, 5, 14), what="ordered", who="co-op",
         wanted_on=date(2016, 5, 16)),
    Step(recommendation="north:2016-05-14:0a1b", field="north", date=date(2016, 5, 15), what="done", where="-low",
         pass_key="pass:north:north/1:north/low:2016-05-12:insecticide:made-up 1"),
    Step(recommendation="north:2016-05-14:0a1b", field="north", date=date(2016, 5, 16), what="checked",
         cut_again_pct=2.75, places=40, larvae=0),
    Step(recommendation="by hand", field="east", date=date(2016, 5, 15), what="refused", note="too, late"),
    Forecast(station="TEST1", issued=date(2016, 5, 16), first=date(2016, 5, 16), source="fc.csv",
             min_c=((8.123456789, 9.0), (7.0, None)), max_c=((20.1, 21.0), (19.0, None)),
             rain_mm=((0.0, 1.7), (2.0, None))),
)  # fmt: skip


def held(store: Store) -> dict[str, Record | None]:
    """Every current record of a store by the thing it speaks of."""
    with store.reading() as read:
        return {entry.thing: entry.record for entry in heads(read)}


def weather_of(store: Store) -> dict[str, list[tuple[str, float | None, float | None, float | None]]]:
    """Every current station day."""
    with store.reading() as read:
        return days(read)


def new_store(tmp_path: Path, records: Sequence[Record] = (), name: str = "a.db") -> Store:
    """A store of the made-up land and weather, and of some records put straight into it."""
    folder = write_season(
        tmp_path / f"from-{name}",
        {"fields.geojson": LAND, "plantings.csv": "field,planting\n", "events.csv": "field,date,event\n",
         "traps.csv": "trap,kind,latitude,longitude\n", "catches.csv": "trap,read,moths\n",
         "walks.csv": "walk,field,date,places\n"},
    )  # fmt: skip
    store = open_store(str(tmp_path / name), create=True)
    receipt = take_in(store, folder, today=END)
    assert not receipt.refused, [str(fault) for file in receipt.files for fault in file.faults]
    with store.writing() as write:
        for record in records:
            put_record(write, record)
    return store


def again(folder: Path, tmp_path: Path, as_is: Sequence[str] = ()) -> Store:
    """A new store from an exported folder."""
    store = open_store(str(tmp_path / f"{folder.name}.db"), create=True)
    take_in(store, folder, today=END, repairs=dict.fromkeys(as_is, "as-is"))
    return store


def lines_of(folder: Path) -> list[dict[str, Any]]:
    """The lines of not_understood.jsonl."""
    return [json.loads(line) for line in (folder / RAW).read_text(encoding="utf-8").splitlines()]
