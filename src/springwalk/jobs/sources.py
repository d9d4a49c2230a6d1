"""The numbers behind the sheet with mark and source, for the page of sources."""

from __future__ import annotations

from springwalk.tables import Number, numbers, plain_name, sources

TABLES = (
    "cutworm_clock", "cover", "corn_clock", "cutting", "weather_model", "triage", "looks", "soil_model",
    "surface_water", "belief", "advice", "stopping", "money", "look_worth", "day_plan",
)  # fmt: skip
OURS = "ours"


def used_numbers() -> tuple[tuple[str, str, str], ...]:
    """(what with value and unit, mark, source or note) of every number the sheet is made from."""
    return tuple(_line(number) for table in TABLES for number in numbers(table).values())


def _line(number: Number) -> tuple[str, str, str]:
    unit = "" if number.unit == "1" else f" {number.unit}"
    spread = f" ({number.low:g}–{number.high:g})" if number.low is not None and number.high is not None else ""
    source = sources()[number.source].cite if number.source else number.note or OURS
    return f"{plain_name(number)}: {number.value:g}{spread}{unit}", number.mark, source
