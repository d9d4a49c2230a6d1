"""What was seen: plantings, events, catches and walks."""

from __future__ import annotations

import re
from collections import Counter
from datetime import date, timedelta

from example_parts.draws import Draws
from example_parts.files import csv_text, table
from example_parts.weather import heat_between, real_days

FIRST_SET, LAST_READ = date(2016, 3, 28), date(2016, 5, 31)
EMERGENCE_GDD = 115.0  # °F·day, 86/50, from planting
COLLAR_GDD = 82.0  # °F·day a collar
STATES = {
    "a": "fresh_cut_above", "t": "fresh_cut_at", "b": "fresh_cut_below", "o": "old_cut",
    "r": "regrown", "e": "empty_place", "l": "leaf_fed",
}  # fmt: skip
WALK_HEADING = (
    "walk", "field", "date", "person", "planting", "collars", "staging", "places", "part", "counted", "marked_row",
    *STATES.values(), "sound", "searched", "hour", "soil", "larvae_mm", "note",
)  # fmt: skip
MOST_BETWEEN_FLIGHTS = 4  # moths at one reading outside the told flights, so that no flight comes by chance


def copy_of(name: str, leave_out: tuple[str, ...] = ()) -> str:
    """A scenario table as it is, less some columns."""
    rows = table(name)
    heading = [column for column in rows[0] if column not in leave_out]
    return csv_text(heading, [[row[column] for column in heading] for row in rows])


def plantings() -> str:
    """plantings.csv, with no date where nobody wrote it down."""
    rows = table("plantings.csv")
    heading = [column for column in rows[0] if column != "told"]
    for row in rows:
        row["planted"] = row["planted"] if row["told"] == "yes" else ""
    return csv_text(heading, [[row[column] for column in heading] for row in rows])


def _readings(draws: Draws, told: list[dict[str, str]]) -> list[tuple[date, date, int | None]]:
    """One trap's readings (since, read, moths told or None), every one to three days, fixed at the told ones."""
    fixed = {date.fromisoformat(row["since"]): row for row in told}
    now = FIRST_SET
    out: list[tuple[date, date, int | None]] = []
    while now < LAST_READ:
        if now in fixed:
            read, moths = date.fromisoformat(fixed[now]["read"]), int(fixed[now]["moths"])
            out.append((now, read, moths))
        else:
            ahead = [day for day in (*fixed, LAST_READ) if day > now]
            read = min(now + timedelta(days=(1, 2, 2, 3)[int(4 * draws.uniform())]), min(ahead))
            out.append((now, read, None))
        now = read
    return out


def _season_share(day: date) -> float:
    """How busy the quiet part of the season is, from 0.4 at its ends to 1 in late April."""
    return max(0.4, 1 - abs((day - date(2016, 4, 24)).days) / 40)


def catches(seed: int) -> str:
    """catches.csv: the told flights, and small numbers between them."""
    draws = Draws(seed)
    known = table("known_catches.csv")
    rows: list[tuple[object, ...]] = []
    for trap in table("traps.csv"):
        told = [row for row in known if row["trap"] == trap["trap"]]
        for since, read, moths in _readings(draws, told):
            drawn = draws.poisson(float(trap["rate"]) * _season_share(since) * (read - since).days)
            counted = min(drawn, MOST_BETWEEN_FLIGHTS) if moths is None else moths
            rows.append((trap["trap"], since, read, counted, trap["person"]))
    return csv_text(("trap", "since", "read", "moths", "person"), rows)


def _stop(text: str) -> tuple[dict[str, str], Counter[str]]:
    """One stop of tables/walks.csv: ``[part] {marked row} (worst) state letters``."""
    told = {"part": "", "marked_row": "", "counted": "yes"}
    if found := re.search(r"\[(.+?)\]", text):
        told["part"] = found.group(1)
    if found := re.search(r"\{(.+?)\}", text):
        told["marked_row"] = found.group(1)
    if "(worst)" in text:
        told["counted"] = "no"
    letters = re.sub(r"\[.*?\]|\{.*?\}|\(.*?\)", "", text).split()
    return told, Counter(STATES[letter] for letter in letters if letter != "-")


def walks() -> str:
    """walks.csv, one line a stop; collars follow from the heat since the true planting date."""
    days = real_days()
    planted = {(r["field"], r["planting"]): date.fromisoformat(r["planted"]) for r in table("plantings.csv")}
    rows: list[list[object]] = []
    for walk in table("walks.csv"):
        seen = date.fromisoformat(walk["date"])
        heat = heat_between(days, planted[walk["field"], walk["planting"]], seen)
        collars = max(0.0, (heat - EMERGENCE_GDD) / COLLAR_GDD)
        for number, text in enumerate(walk["stops"].split(";")):
            told, counts = _stop(text)
            first = number == 0
            # larvae and plants searched belong to the walk: on its first line only, so they can't be added twice
            rows.append([
                walk["walk"], walk["field"], walk["date"], walk["person"], walk["planting"], f"{collars:.1f}",
                "collars", walk["places"], told["part"], told["counted"], told["marked_row"],
                *(counts[state] for state in STATES.values()), int(walk["places"]) - counts.total(),
                walk["searched"] if first else "", walk["hour"], walk["soil"], walk["larvae"] if first else "",
                walk["note"],
            ])  # fmt: skip
    return csv_text(WALK_HEADING, rows)
