"""flight_reports.csv: a service's word that moths flew somewhere, without counts."""

from __future__ import annotations

from collections.abc import Iterable

from springwalk.intake.geometry import Position
from springwalk.intake.ids import Ids, settle
from springwalk.intake.moths import tell_far
from springwalk.intake.rows import Row, make
from springwalk.intake.tables import Columns
from springwalk.records import FlightReport

REPORT_COLUMNS = Columns(("source", "night"), ("near", "latitude", "longitude", "field", "either_way", "note"))
MOST_EITHER_WAY = 14


def read_reports(rows: Iterable[Row], ids: Ids, places: Iterable[Position]) -> list[FlightReport]:
    """flight_reports.csv; one far from every field and station is kept and suspected."""
    found = [(row, one) for row in rows if (one := _report(row, ids)) is not None]
    kept = settle(found, "source", lambda one: one.natural_key())
    tell_far(kept, list(places), "report")
    return [one for _, one in kept]


def _report(row: Row, ids: Ids) -> FlightReport | None:
    source = row.text("source")
    if not source and not row.bad and not row.shifted:
        row.refuse("source", "is needed", "write who reported it")
    night = row.day("night", needed=True)
    latitude, longitude = row.number("latitude", -90, 90), row.number("longitude", -180, 180)
    either = row.whole("either_way", 0, MOST_EITHER_WAY)
    near, note = row.text("near"), row.note_text()
    field = ids.field(row) if row.values.get("field", "").strip() else None
    if row.bad:
        return None
    if latitude is None or longitude is None:
        land = ids.land.get(field or "")
        if land is None or latitude is not None or longitude is not None:
            missing = "latitude" if latitude is None else "longitude"
            row.refuse(missing, "is needed", "write latitude and longitude, or a field whose place it takes")
            return None
        latitude, longitude = land.latitude, land.longitude
        near = near or land.name
    return make(
        row, FlightReport, source=source, near=near, latitude=latitude, longitude=longitude, night=night,
        nights_either_way=2 if either is None else either, note=note,
    )  # fmt: skip
