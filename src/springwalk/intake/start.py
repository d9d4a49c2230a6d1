"""A new season folder: a commented season.toml, CSV files with only headings, an empty outline file, FILES.md."""

from __future__ import annotations

import os
from contextlib import suppress
from importlib import resources
from pathlib import Path

from springwalk.errors import BadFile, BadValue
from springwalk.intake.cells import UnreadableError, one_line
from springwalk.intake.faults import shown
from springwalk.intake.files import shown_path
from springwalk.intake.land import EVENT_COLUMNS, PLANTING_COLUMNS, ZONE_COLUMNS
from springwalk.intake.moths import CATCH_COLUMNS, TRAP_COLUMNS
from springwalk.intake.outlines import NO_OUTLINES
from springwalk.intake.passes import PASS_COLUMNS
from springwalk.intake.pests import PEST_COLUMNS
from springwalk.intake.progress import PROGRESS_COLUMNS
from springwalk.intake.promises import DONE_COLUMNS, PROMISE_COLUMNS
from springwalk.intake.rain import RAIN_COLUMNS
from springwalk.intake.recommendations import RECOMMENDATION_COLUMNS, STEP_COLUMNS
from springwalk.intake.reports import REPORT_COLUMNS
from springwalk.intake.seeds import LOT_COLUMNS
from springwalk.intake.tables import Columns
from springwalk.intake.walks import WALK_COLUMNS

EXPLAINED = "FILES.md"
HEADINGS: dict[str, Columns] = {
    "plantings.csv": PLANTING_COLUMNS,
    "zones.csv": ZONE_COLUMNS,
    "events.csv": EVENT_COLUMNS,
    "traps.csv": TRAP_COLUMNS,
    "catches.csv": CATCH_COLUMNS,
    "walks.csv": WALK_COLUMNS,
    "passes.csv": PASS_COLUMNS,
    "rain.csv": RAIN_COLUMNS,
    "flight_reports.csv": REPORT_COLUMNS,
    "progress.csv": PROGRESS_COLUMNS,
    "seed_lots.csv": LOT_COLUMNS,
    "promises.csv": PROMISE_COLUMNS,
    "pest_counts.csv": PEST_COLUMNS,
    "done.csv": DONE_COLUMNS,
    "recommendations.csv": RECOMMENDATION_COLUMNS,
    "recommendation_steps.csv": STEP_COLUMNS,
}
SEASON_TOML = """\
# One season of Springwalk. Lines that begin with # are not read: take the # away to use them.
# FILES.md beside this file explains every file, column and word.

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

# What advice and the day are worked with; what is not told is taken from a printed assumption.
# [money]
# yield = 180                    # bushels an acre, without loss
# price = 4.50                   # $ a bushel
# pass_cost = 16                 # $ an acre: a treatment on its own pass, product in it
# product_cost = 7               # $ an acre: the product alone, on a pass that goes anyway
# wage = 25                      # $ an hour of whoever walks
# days_to_sprayer = 2            # from the order to the pass
# [team]
# people = 1
# hours = 7                      # each
# leave = "07:00"
# latitude = 40.8                # where they leave from and come home to
# longitude = -96.8

# The other files of this folder: fields.geojson, plantings.csv, zones.csv, events.csv, traps.csv,
# catches.csv, walks.csv, passes.csv, rain.csv, flight_reports.csv, progress.csv, seed_lots.csv,
# promises.csv, pest_counts.csv, done.csv, recommendations.csv and recommendation_steps.csv. Leave out those you
# don't need. Other names go here.
# [files]
# fields = ["fields.geojson"]
# catches = "catches.csv"

# One [[station]] for each weather station, however many files it has. The nearest station with data serves a field.
# [[station]]
# id = "my-station"              # for GHCN-Daily: the station's id in the file
# name = "Station in the yard"
# latitude = 40.7
# longitude = -96.9              # west is minus
# elevation = "362m"             # a bare number is feet
# file = "weather/my-station.csv"   # or several: ["weather/this-year.csv", "weather/past-years.csv"]
# format = "plain"               # or ghcn-daily; auto tells the two apart file by file
# temperature_unit = "F"         # F, C or tenths C. Not needed where the headings say it: High (°F)
# rain_unit = "in"               # in, mm or tenths mm
# attribution = ""
# [station.columns]              # plain files: our name = your heading; obvious headings need no line
# date = "day"
# max = "high"
# min = "low"
# rain = "precip"

# Your own headings in the CSV files: our name = your heading.
# [columns.catches]
# moths = "count"

# Your own names of the outlines' properties: our name = yours.
# [columns.fields]
# id = "FIELD_NO"
# name = "Field Name"
# grower = "Client"
# note = "Remarks"
# elevation = "Elev"
# texture = "Soil"
# previous_crop = "Last crop"
# history = "History"

# Your own words in the tables: your word = ours. Our words are listed in FILES.md.
# [values.events]
# "knocked down" = "cover killed"
# [values.cover]
# "light chickweed" = "some weeds"
# [values.trap_kind]
# "paper" = "wing"
# [values.passes]
# "ran the hoe" = "rotary hoe"
# [values.pests]
# "little gray slugs" = "slug"
# [values.texture]
# "bottom silt" = "silt loam"
# [values.history]
# "old pasture" = "sod before"
"""


def start_folder(folder: Path, *, year: int, name: str = "My season") -> tuple[Path, ...]:
    """Write the files of a new season and return their paths.

    Refuses (BadFile) where any of them is there already, and takes away what it made where it can't make them all;
    BadValue for a ``name`` that is not one line of text.
    """
    try:
        one_line(name)
    except UnreadableError as error:
        raise BadValue("name", shown(name), error.rule, error.todo) from None
    texts = {"season.toml": SEASON_TOML.format(name=_toml_text(name), year=year), **_empty(), EXPLAINED: explained()}
    made: list[Path] = []
    try:
        made += _make(folder)
        for file in texts:
            if os.path.lexists(folder / file):
                rule, todo = "is there already and is never overwritten", "choose another folder, or move it away"
                raise BadFile("file", shown_path(folder / file), rule, todo)
        for file, text in texts.items():
            with (folder / file).open("x", encoding="utf-8", newline="\n") as out:
                made.append(folder / file)
                out.write(text)
    except (OSError, ValueError) as error:
        _take_away(made)
        rule = f"can't be written ({getattr(error, 'strerror', None) or error})"
        if isinstance(error, FileExistsError):
            rule = "something else is there, not a folder"
        raise BadFile("folder", shown_path(folder), rule, "choose a folder you may write in") from None
    except BaseException:
        _take_away(made)
        raise
    return tuple(folder / file for file in texts)


def explained() -> str:
    """The page that explains the files: the one in the documentation, word for word."""
    return (resources.files("springwalk.intake") / "files.md").read_text(encoding="utf-8")


def _make(folder: Path) -> list[Path]:
    """Make a folder and those above it; returns the ones that were not there, from the top."""
    missing = [place for place in [folder, *folder.parents] if not place.is_dir()]
    new: list[Path] = []
    try:
        for place in reversed(missing):
            place.mkdir()
            new.append(place)
    except OSError:
        _take_away(new)
        raise
    return new


def _take_away(made: list[Path]) -> None:
    """Take away files and folders made here, the last first; what can't be taken away stays."""
    for path in reversed(made):
        with suppress(OSError):
            path.rmdir() if path.is_dir() else path.unlink()


def _empty() -> dict[str, str]:
    """The files that wait for rows, by name."""
    return {"fields.geojson": NO_OUTLINES} | {file: ",".join(columns.all) + "\n" for file, columns in HEADINGS.items()}


def as_started(path: Path) -> bool:
    """Whether a file is as ``start_folder`` left it: nothing was filled in, so nothing is to be said of it."""
    text = _empty().get(path.name)
    if text is None:
        return False
    try:
        return path.stat().st_size == len(text.encode()) and path.read_text(encoding="utf-8") == text
    except (OSError, UnicodeDecodeError):
        return False


def _toml_text(name: str) -> str:
    return name.strip().replace("\\", "\\\\").replace('"', '\\"')
