"""What a store holds from an earlier file and the file no longer tells, keeps in other words, or contradicts."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from springwalk.intake import Command, Fault, FileRead
from springwalk.records import (
    Catch,
    Done,
    Event,
    FlightReport,
    Gauge,
    Pass,
    PestCount,
    Progress,
    Promise,
    Recommendation,
    Record,
    SeedLot,
    Step,
    Walk,
)
from springwalk.store import Entry, Reading
from springwalk.store.entries import conflicts, given_by, heads, thing_of

DEVICE = "intake "
"""Before the name of a file: the device of what the file gave."""
STOP = "stops."


def device_of(file: str) -> str:
    """The device under which a file's records are kept."""
    return f"{DEVICE}{file}"


def file_of(device: str) -> str:
    """The file that a device stands for, "" where it is none."""
    return device.removeprefix(DEVICE) if device.startswith(DEVICE) else ""


def words(record: Record) -> str:
    """A record in a few words, as a person would name it."""
    say = _SAID.get(type(record))
    if say is not None:
        return say(record)
    if isinstance(record, Catch):
        return f"{record.trap} read {record.read}"
    if isinstance(record, Event):
        part = record.zone or record.planting or record.field
        return f"{part} {record.what} {record.date}"
    if isinstance(record, Walk):
        return f"walk {record.id} of {record.field} on {record.walked}"
    return record.natural_key().replace(":", " ", 1)


def _on(day: date) -> str:
    return f"{day.day} {day:%B}"


def _pass_words(one: Any) -> str:
    return f"{one.what} pass of {_on(one.date)} in {one.zone or one.planting or one.field}"


def _gauge_words(one: Any) -> str:
    return f"rain of {_on(one.date)} {f'in {one.field}' if one.field else 'for every field'}"


def _report_words(one: Any) -> str:
    return f"flight report of {_on(one.night)} by {one.source}"


def _pest_words(one: Any) -> str:
    return f"{one.pest} count of {_on(one.date)} in {one.zone or one.planting or one.field}"


def _promise_words(one: Any) -> str:
    return f"promise to {one.grower}" if one.grower else f"promise for {one.field}"


_SAID: Mapping[type[Record], Callable[[Any], str]] = {
    Pass: _pass_words,
    Gauge: _gauge_words,
    FlightReport: _report_words,
    PestCount: _pest_words,
    Promise: _promise_words,
    Progress: lambda one: f"planting of {_on(one.date)} in {one.planting}",
    SeedLot: lambda one: f"seed lot {one.id}",
    Recommendation: lambda one: f"recommendation {one.id}",
    Step: lambda one: f"step {one.what} of {_on(one.date)} in {one.recommendation}",
    Done: lambda one: f"look {one.look} {'done' if one.outcome == 'done' else 'set aside'}",
}
"""How each kind of record is said."""


def record_words(record: Record) -> str:
    """What a revision belongs to: in words where the key of the thing is no name a person would use."""
    return words(record) if type(record) in _SAID else record.natural_key()


def entry_words(entry: Entry) -> str:
    """The same for an entry, understood or not."""
    return f"{entry.kind} {entry.thing}" if entry.record is None else words(entry.record)


def no_longer_told(read: Reading, each: FileRead, told: Collection[str]) -> list[Entry]:
    """What this file gave earlier and no file of the folder tells now, in order of words.

    Nothing of a file with rows left out (one of those may be what is missing), and nothing of a thing in conflict.
    """
    if not each.complete or not each.sha256:
        return []
    torn = conflicts(read)
    gone = [entry for entry in given_by(read, device_of(each.name)) if entry.thing not in told]
    return sorted((entry for entry in gone if entry.thing not in torn), key=entry_words)


def merged(before: Sequence[Entry], record: Record, untold: Collection[str]) -> Record:
    """The record with what its file has no column for taken from the one held; as it is where none or two are held.

    What a file tells of each stop is kept stop by stop, where a walk still has as many stops.
    """
    held = before[0].record if len(before) == 1 else None
    if held is None or type(held) is not type(record):
        return record
    kept = {name: getattr(held, name) for name in untold if not name.startswith(STOP)}
    parts = [name.removeprefix(STOP) for name in untold if name.startswith(STOP)]
    if isinstance(record, Walk) and isinstance(held, Walk) and parts and len(record.stops) == len(held.stops):
        pairs = zip(record.stops, held.stops, strict=True)
        kept["stops"] = tuple(new.model_copy(update={name: getattr(old, name) for name in parts}) for new, old in pairs)
    return record.model_copy(update=kept)


def overlapping(
    read: Reading, each: FileRead, told: Collection[str], command: Callable[[str], Command], files: Collection[str]
) -> dict[str, Fault]:
    """Catches that share nights with one held that no file of the folder tells, by natural key: each with its fault."""
    mine = [record for record in each.records if isinstance(record, Catch)]
    if not mine:
        return {}
    others: dict[str, list[tuple[Catch, Entry]]] = {}
    for entry in heads(read, Catch.kind):
        if isinstance(entry.record, Catch) and entry.thing not in told:
            others.setdefault(entry.record.trap, []).append((entry.record, entry))
    found = {}
    for catch in mine:
        for held, entry in others.get(catch.trap, ()):
            if held.since < catch.read and catch.since < held.read:
                line = each.lines.get(catch.natural_key(), 0)
                found[catch.natural_key()] = _overlap(each.name, line, catch, held, entry, command, files)
                break
    return found


def _overlap(
    file: str, line: int, catch: Catch, held: Catch, entry: Entry, command: Callable[[str], Command],
    files: Collection[str],
) -> Fault:  # fmt: skip
    origin = file_of(entry.device)
    place = f"an earlier {origin}" if origin else entry.device or "elsewhere"
    rule = f"shares nights with the catch held from {place} ({held.since} to {held.read}); the row is held back"
    todo = "correct the dates, so that each night is counted once"
    if origin in files:
        todo = f"if the one held is wrong: {command(origin).take_back()}; if not, {todo}"
    return Fault(file, line, "since", f"{catch.since} to {catch.read}", rule, todo, "suspected")


def conflicting(each: FileRead, record: Record, command: Command) -> Fault:
    """The fault of a record of which the store holds two versions, neither of them this."""
    rule = "the store holds two versions of it and this is neither; nothing was written"
    todo = f"if the file is right: {command.plain('as-is')}"
    return Fault(each.name, each.lines.get(record.natural_key(), 0), "record", words(record), rule, todo, "suspected")


def refused_to_take_back(each: FileRead) -> Fault:
    """The fault of a file with rows left out whose missing things were to be taken back."""
    rule = "rows were left out or held back, and one of them may be what is missing; nothing was taken back"
    return Fault(each.name, 0, "take-back", each.name, rule, "correct those rows first, then ask again", "refused")


def by_thing(read: Reading, records: Iterable[Record]) -> Mapping[str, list[Entry]]:
    """The current entries of the kinds of some records, by thing."""
    found: dict[str, list[Entry]] = {}
    for kind in sorted({record.kind for record in records}):
        for entry in heads(read, kind):
            found.setdefault(entry.thing, []).append(entry)
    return found


def things(reads: Iterable[FileRead]) -> frozenset[str]:
    """Every thing that some files tell."""
    return frozenset(thing_of(record) for each in reads for record in each.records)
