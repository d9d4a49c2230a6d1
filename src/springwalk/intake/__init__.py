"""Outside files to (records, faults). Pure reading: nothing is stored, nothing is repaired unasked."""

from springwalk.intake.days import missing_days
from springwalk.intake.faults import Fault, FileRead, Known
from springwalk.intake.folder import read_folder
from springwalk.intake.repairs import Repair, parse_repairs
from springwalk.intake.start import start_folder
from springwalk.intake.weather import WeatherRead, read_weather

__all__ = [
    "Fault", "FileRead", "Known", "Repair", "WeatherRead", "missing_days", "parse_repairs", "read_folder",
    "read_weather", "start_folder",
]  # fmt: skip
