"""Outside files to (records, faults). Pure reading: nothing is stored, nothing is repaired unasked."""

from springwalk.intake.cells import UnreadableError, one_line
from springwalk.intake.days import missing_days
from springwalk.intake.faults import Fault, FileRead, Known, did_you_mean, shown
from springwalk.intake.files import check_folder
from springwalk.intake.folder import read_folder
from springwalk.intake.repairs import Command, Repair, as_repairs, parse_repairs
from springwalk.intake.start import start_folder
from springwalk.intake.weather import WeatherRead, read_weather

__all__ = [
    "Command",
    "Fault",
    "FileRead",
    "Known",
    "Repair",
    "UnreadableError",
    "WeatherRead",
    "as_repairs",
    "check_folder",
    "did_you_mean",
    "missing_days",
    "one_line",
    "parse_repairs",
    "read_folder",
    "read_weather",
    "shown",
    "start_folder",
]
