"""What was seen or typed: frozen types, their checks, their versions. No input or output here."""

from springwalk.records.base import Record, plain
from springwalk.records.moths import Catch, Trap
from springwalk.records.places import Event, Field, Planting, Zone
from springwalk.records.walks import PLANT_STATES, Larva, Stop, Walk
from springwalk.records.weather import Day, Season, Station

ENTRY_KINDS: dict[str, type[Record]] = {
    record.kind: record for record in (Field, Planting, Zone, Event, Trap, Catch, Walk, Station, Season)
}
"""Record types kept as entries (days of weather have a table of their own)."""

__all__ = [
    "ENTRY_KINDS", "PLANT_STATES", "Catch", "Day", "Event", "Field", "Larva", "Planting", "Record", "Season",
    "Station", "Stop", "Trap", "Walk", "Zone", "plain",
]  # fmt: skip
