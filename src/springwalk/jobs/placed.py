"""Checks of one entry typed by hand: its texts, its day, and which field, planting and zone it means."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from springwalk.errors import BadValue, NotFound
from springwalk.intake import UnreadableError, did_you_mean, one_line, shown
from springwalk.jobs.walk_checks import row_key, walk_order
from springwalk.records import Done, Field, Gauge, Planting, Record, Season, Stop, Walk, Zone
from springwalk.store import Reading
from springwalk.store.entries import heads, records

_LONGEST = 200
_LONGER = {"note": 2000, "said": 20_000, "text": 2000, "shown": 100_000, "pass_key": 1000}
_SEVERAL_LINES = ("note", "said", "text")


def check_texts(record: Record) -> None:
    """Refuse text that is too long or holds what can't be printed; a note and what was said may have several lines."""
    for name in type(record).model_fields:
        value = getattr(record, name)
        if not isinstance(value, str):
            continue
        most = _LONGER.get(name, _LONGEST)
        if len(value) > most:
            raise BadValue(name, shown(value), f"longer than {most} characters", "write it shorter")
        try:
            one_line(" ".join(value.split()) if name in _SEVERAL_LINES else value)
        except UnreadableError as error:
            raise BadValue(name, shown(value), error.rule, error.todo) from None


def check_day(record: Record, season: Season, today: date) -> None:
    """Refuse a day after today, or before the fall in which the season began."""
    name = "on" if isinstance(record, Done) else "walked" if isinstance(record, Walk) else "date"
    day = getattr(record, name, None)
    if not isinstance(day, date):
        return
    if day > today:
        raise BadValue(name, day, f"after today ({today})", "give the day it was seen or done")
    first, last = date(season.year - 1, 7, 1), date(season.year, 12, 31)
    if not first <= day <= last:
        raise BadValue(name, day, f"outside the season {season.year} ({first} to {last})", "correct the date")


def placed(read: Reading, record: Record) -> tuple[Record, str]:
    """The record with the full ids of its field, planting and zone, and what people call the field."""
    told = str(getattr(record, "field", ""))
    if isinstance(record, Gauge) and not told:
        return record, ""
    field = field_meant(read, told)
    full: dict[str, str] = {"field": field.id}
    parts: tuple[tuple[str, type[Planting] | type[Zone]], ...] = (("planting", Planting), ("zone", Zone))
    for what, kind in parts:
        part = getattr(record, what, None)
        if part:
            full[what] = _part(read, field.id, str(part), what, kind)
    if isinstance(record, Walk):
        marked = _marked(read, field.id, full.get("planting"))
        stops = [_placed_stop(read, field.id, stop, marked) for stop in record.stops]
        return record.model_copy(update={**full, "stops": tuple(stops)}), field.name
    return record.model_copy(update=full), field.name


def _placed_stop(read: Reading, field: str, stop: Stop, marked: Mapping[str, Stop]) -> Stop:
    """A stop with the full id of the zone it stands for; a marked row is spelled, and stands, as it did before."""
    before = marked.get(row_key(stop)) if stop.marked_row else None
    if before is not None:
        stop = stop.model_copy(update={"marked_row": before.marked_row, "part": stop.part or before.part})
    return stop.model_copy(update={"part": _part(read, field, stop.part, "zone", Zone)}) if stop.part else stop


def _marked(read: Reading, field: str, planting: str | None) -> dict[str, Stop]:
    """The first count of each marked row of a field, or of one planting of it."""
    walks = records(read, Walk)
    mine = [w for w in walks if w.field == field and (None in (w.planting, planting) or w.planting == planting)]
    newest_first = sorted(mine, key=walk_order, reverse=True)
    return {row_key(stop): stop for walk in newest_first for stop in walk.stops if stop.marked_row}


def field_meant(read: Reading, told: str) -> Field:
    """The field of an id or a name, in any case; NotFound with the nearest."""
    fields = records(read, Field)
    word = told.strip().casefold()
    meant = [f for f in fields if f.id == told.strip()] or [f for f in fields if f.id.casefold() == word]
    meant = meant or [f for f in fields if f.name.strip().casefold() == word]
    if len(meant) == 1:
        return meant[0]
    if meant:
        rule = f"{len(meant)} fields are called so ({', '.join(sorted(f.id for f in meant))})"
        raise NotFound("field", shown(told), rule, "give the id of the one meant")
    raise _no_such("field", told, [f.id for f in fields], "no such field in this store")


def _part(read: Reading, field: str, told: str, what: str, kind: type[Planting] | type[Zone]) -> str:
    """The full id of a planting or zone of a field, told short (``1``) or full (``north/1``)."""
    records = [entry.record for entry in heads(read, kind.kind)]
    ids = [one.id for one in records if isinstance(one, Planting | Zone) and one.field == field]
    word = told.strip().removeprefix(f"{field}/").casefold()
    meant = [full for full in ids if full.removeprefix(f"{field}/").casefold() == word]
    if len(meant) == 1:
        return meant[0]
    short = [full.removeprefix(f"{field}/") for full in ids]
    raise _no_such(what, told, short, f"field {field!r} has no such {what}")


def _no_such(name: str, told: str, known: Iterable[str], rule: str) -> NotFound:
    hint = did_you_mean(told.strip(), list(known))
    return NotFound(name, shown(told), rule, hint or "take in the folder that tells it first")
