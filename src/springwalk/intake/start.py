"""A new season folder: a commented season.toml, CSV files with only headings, an empty outline file."""

from __future__ import annotations

from pathlib import Path

from springwalk.errors import BadFile
from springwalk.intake.land import EVENT_COLUMNS, PLANTING_COLUMNS, ZONE_COLUMNS
from springwalk.intake.moths import CATCH_COLUMNS, TRAP_COLUMNS
from springwalk.intake.tables import Columns
from springwalk.intake.walks import WALK_COLUMNS

HEADINGS: dict[str, Columns] = {
    "plantings.csv": PLANTING_COLUMNS,
    "zones.csv": ZONE_COLUMNS,
    "events.csv": EVENT_COLUMNS,
    "traps.csv": TRAP_COLUMNS,
    "catches.csv": CATCH_COLUMNS,
    "walks.csv": WALK_COLUMNS,
}
NO_OUTLINES = '{\n  "type": "FeatureCollection",\n  "features": []\n}\n'
SEASON_TOML = """\
# One season of Springwalk. Lines that begin with # are not read: take the # away to use them.

[season]
name = "{name}"                  # printed on the morning sheet
year = {year}
# timezone = "America/Chicago"
# state = "Nebraska"             # picks the state's capture rule
# heat_method = "sine"           # sine, average, 86/50, triangle or clipped-mean
# capture_rule = ""              # a key of the table of capture rules
# first_day = {year}-03-01       # the season counts from this day
# last_day = {year}-07-15        # to this day
# date_format = "%m/%d/%Y"       # only if your dates are not written like {year}-04-30

# The other files of this folder: fields.geojson, plantings.csv, zones.csv, events.csv, traps.csv,
# catches.csv and walks.csv. Other names go here.
# [files]
# fields = ["fields.geojson"]
# catches = "catches.csv"

# One [[station]] for each weather station. The nearest station with data serves a field.
# [[station]]
# id = "my-station"              # for GHCN-Daily: the station's id in the file
# name = "Station in the yard"
# latitude = 40.7
# longitude = -96.9              # west is minus
# elevation = "362m"             # a bare number is feet
# file = "weather/my-station.csv"
# format = "plain"               # or ghcn-daily
# temperature_unit = "F"         # F, C or tenths C
# rain_unit = "in"               # in, mm or tenths mm
# attribution = ""
# [station.columns]              # plain files: our name = your heading
# date = "day"
# max = "high"
# min = "low"
# rain = "precip"

# Your own headings in the CSV files: our name = your heading.
# [columns.catches]
# moths = "count"
"""


def start_folder(folder: Path, *, year: int, name: str = "My season") -> tuple[Path, ...]:
    """Write the files of a new season and return their paths; refuses (BadFile) where any of them is there already."""
    texts = {"season.toml": SEASON_TOML.format(name=_toml_text(name), year=year), "fields.geojson": NO_OUTLINES}
    texts |= {file: ",".join(columns.all) + "\n" for file, columns in HEADINGS.items()}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for file in texts:
            if (folder / file).exists():
                rule, todo = "is there already and is never overwritten", "choose another folder, or move it away"
                raise BadFile("file", folder / file, rule, todo)
        for file, text in texts.items():
            with (folder / file).open("x", encoding="utf-8", newline="\n") as out:
                out.write(text)
    except OSError as error:
        rule = f"can't be written ({error.strerror or error})"
        raise BadFile("folder", folder, rule, "choose a folder you may write in") from None
    return tuple(folder / file for file in texts)


def _toml_text(name: str) -> str:
    escaped = name.replace("\\", "\\\\").replace('"', '\\"')
    return "".join(c for c in escaped if c.isprintable())
