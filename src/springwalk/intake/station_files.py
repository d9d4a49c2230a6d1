"""All weather files of one station together: what they tell of one day, and what none of them tells."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from pathlib import Path

from springwalk.intake.days import missing_days, ranges, tell_missing, tell_other_years
from springwalk.intake.faults import FileRead, counted, no_highs, some
from springwalk.intake.forecast import Asked, once_issued, read_forecast
from springwalk.intake.repairs import NO_REPAIR, Command, Repair
from springwalk.intake.short import Ask, highs_of, unit_differs
from springwalk.intake.stations import StationFiles
from springwalk.intake.weather import Form, Read, read_file

ITEMS = ("min_c", "max_c", "rain_mm")


def read_station_files(
    folder: Path,
    blocks: Sequence[StationFiles],
    *,
    year: int,
    today: date,
    repairs: Mapping[str, Repair],
    options: str = "",
    limit_bytes: int,
    highs: Ask = no_highs,
    timezone: str = "America/Chicago",
) -> list[FileRead]:
    """All files of one station, from all its blocks.

    Rain may come from one file and extremes from another: they meet by day. A value told by two files counts once
    where they agree; where they differ the day is refused in both. What is missing is judged over all of them.
    ``highs`` gives what is held of a station already. Its forecasts come last: they are held against its days.
    """
    reads: list[Read] = []
    for told in blocks:
        form = Form(told.format, told.temperature_unit, told.rain_unit, told.date_form, told.columns)
        mine = []
        for name in told.files:
            repair, command = repairs.get(name, NO_REPAIR), Command(folder, name, options)
            mine.append(
                read_file(folder / name, name, form, told.station.id, year, today, repair, command, limit_bytes)
            )
        _tell_unfound(mine, told.columns)
        reads += mine
    _check_short(reads, folder, options, highs)
    _merge(reads)
    if all(read.days for read in reads) and not any(day.year == year for read in reads for day in read.days):
        for read in reads:
            tell_other_years(read.good(), year, read.faults)
    _tell_missing(reads, year)
    measured = [
        FileRead(
            read.name,
            read.sha256,
            (),
            read.good(),
            read.faults.listed(),
            read.faults.rows,
            read.faults.left_out,
            read.faults.complete,
        )
        for read in reads
    ]
    known = [pair for read in reads for pair in highs_of(read.good()).items()]
    return measured + _forecasts(folder, blocks, timezone, today, repairs, options, limit_bytes, known, highs)


def _forecasts(
    folder: Path, blocks: Sequence[StationFiles], timezone: str, today: date, repairs: Mapping[str, Repair],
    options: str, limit_bytes: int, known: list[tuple[date, float]], highs: Ask,
) -> list[FileRead]:  # fmt: skip
    """The station's forecasts, held against its days here and those held of it already."""
    if any(block.forecasts for block in blocks):
        known += highs(blocks[0].station.id)
    found: list[FileRead] = []
    for told in blocks:
        for name in told.forecasts:
            repair, command = repairs.get(name, NO_REPAIR), Command(folder, name, options)
            asked = Asked(told, timezone, today, repair, command, known)
            found.append(once_issued(read_forecast(folder, name, asked, limit_bytes=limit_bytes), found))
    return found


def _check_short(reads: Sequence[Read], folder: Path, options: str, highs: Ask) -> None:
    """Hold a file too short to check its unit against the other files of the station, and what is held of it."""
    told = {id(read): highs_of(read.good()) for read in reads}
    for read in reads:
        if read.short:
            others = [pair for other in reads if other is not read for pair in told[id(other)].items()]
            others += highs(read.station)
            command = Command(folder, read.name, options)
            if unit_differs(told[id(read)], read.unit, read.max_heading, others, command, read.faults):
                read.days = {}


def _tell_unfound(reads: Sequence[Read], columns: Mapping[str, str]) -> None:
    """Note a heading of [station.columns] that no file of the block has: it may be misspelt."""
    plain = [read for read in reads if read.format == "plain" and not read.faults.whole]
    for ours, heading in columns.items():
        if plain and all(ours in read.unfound for read in plain):
            rule = f"no file of this station has this heading; an obvious one is read as {ours} where there is one"
            plain[0].faults.note(
                0, f"station.columns.{ours}", heading, rule, "correct it in season.toml, or take it out"
            )


def _tell_missing(reads: Sequence[Read], year: int) -> None:
    """Note days without both extremes under the file that lacks them: the one whose days run across the gap."""
    missing = missing_days((day for read in reads for day in read.good()), year)
    spans = []
    for read in reads:
        days = [day for day, (_, told) in read.days.items() if day.year == year and told.max_c is not None]
        if days:
            spans.append((read, min(days), max(days), len(days)))
    by_file: dict[int, list[date]] = {}
    for day in missing:
        across = [read for read, first, last, _ in spans if first <= day <= last]
        most = [read for read, _, _, _ in sorted(spans, key=lambda span: -span[3])]
        telling = [read for read in reads if day in read.days]
        lacking = (across or most or telling or list(reads))[0]
        by_file.setdefault(id(lacking), []).append(day)
    for read in reads:
        tell_missing(tuple(by_file.get(id(read), ())), read.faults)


def _merge(reads: Iterable[Read]) -> None:
    first: dict[tuple[date, str], Read] = {}
    for read in reads:
        same = []
        for day, (_, told) in list(read.days.items()):
            given = {item: value for item in ITEMS if (value := getattr(told, item)) is not None}
            others = {item: first.setdefault((day, item), read) for item in given}
            differing = [
                other
                for item, other in others.items()
                if other is not read and (day not in other.days or getattr(other.days[day][1], item) != given[item])
            ]
            if differing:
                _refuse_both(day, differing[0], read)
            elif all(other is not read for other in others.values()):
                same.append(day)
                del read.days[day]
        if same:
            rule = f"also in another file of the station, with the same values: {some(ranges(same))}"
            read.faults.note(0, "date", len(same), rule, "nothing; they count once", unit=counted(len(same), "day"))


def _refuse_both(day: date, one: Read, other: Read) -> None:
    for here, there in ((one, other), (other, one)):
        if day in here.days:
            row, _ = here.days.pop(day)
            rule = f"told with different values in {there.name}"
            here.faults.refused(row, "date", day, rule, "keep the right one, delete the other")
