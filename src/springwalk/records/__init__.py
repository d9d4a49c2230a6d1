"""What was seen or typed: frozen types, their checks, their versions. No input or output here."""

from springwalk.records.advice import Recommendation, Step
from springwalk.records.base import Record, plain
from springwalk.records.money import Money, Team
from springwalk.records.moths import Catch, FlightReport, Trap
from springwalk.records.pests import PestCount
from springwalk.records.places import Event, Field, Planting, Zone
from springwalk.records.walks import PLANT_STATES, Larva, Stop, Walk
from springwalk.records.weather import Day, Forecast, Gauge, Season, Station
from springwalk.records.work import Done, Pass, Progress, Promise, SeedLot

ENTRY_KINDS: dict[str, type[Record]] = {
    record.kind: record
    for record in (
        Field, Planting, Zone, Event, Trap, Catch, Walk, Station, Season, FlightReport, Gauge, Forecast, Pass, SeedLot,
        Progress, Promise, Done, PestCount, Recommendation, Step,
    )
}  # fmt: skip
"""Record types kept as entries (days of weather have a table of their own)."""

__all__ = [
    "ENTRY_KINDS", "PLANT_STATES", "Catch", "Day", "Done", "Event", "Field", "FlightReport", "Forecast", "Gauge",
    "Larva", "Money", "Pass", "PestCount", "Planting", "Progress", "Promise", "Recommendation", "Record", "Season",
    "SeedLot", "Station", "Step", "Stop", "Team", "Trap", "Walk", "Zone", "plain",
]  # fmt: skip
