"""The season figure in words: what a reader who cannot see it is told."""

from __future__ import annotations

from datetime import date

from springwalk.jobs.results import Range, Row, Series
from springwalk.show import numbers as n
from springwalk.show.words import STAGES


def season_words(series: Series, today: date, row: Row) -> str:
    """Moths, larvae, corn and plants cut up to today and to the end, in a few sentences."""
    first, last = series.days[0], series.days[-1]
    said = [f"{row.name} from {n.day(first)} to {n.day(last)}; today is {n.day(today)}.", _moths(series, row)]
    if first <= today <= last:
        at = series.days.index(today)
        said += [_larvae(series, at), _corn(series, at)]
    part = row.parts[0] if row.parts else None
    if part and part.cutting_begins and part.cutting_begins.mid:
        end = f" and nine in ten larvae are through feeding {n.dates(part.through_90)}" if part.through_90 else ""
        said.append(f"Cutting begins {n.dates(part.cutting_begins)}{end}.")
    total = Range(low=series.cut_low[-1], mid=series.cut_mid[-1], high=series.cut_high[-1])
    said.append(f"If nothing is done, {n.per_100(total)} are cut by {n.day(last)}.")
    return " ".join(text for text in said if text)


def _moths(series: Series, row: Row) -> str:
    told = sorted({capture.night for capture in row.captures if capture.moths is None})
    reported = f" Flights reported about {', '.join(n.day(night) for night in told)}." if told else ""
    return _caught(series) + reported


def _caught(series: Series) -> str:
    total = sum(series.moths_per_night)
    nights = [day for day, big in zip(series.days, series.significant, strict=True) if big]
    if not total:
        return "No moths were caught."
    caught = f"{n.number(total, 'moths', decimals=0)} were caught"
    if not nights:
        return f"{caught}, with no significant capture."
    return f"{caught}; significant nights: {', '.join(n.day(night) for night in nights)}."


def _larvae(series: Series, at: int) -> str:
    now = {key: values[at] for key, values in series.shares.items() if values[at] >= 0.05}
    if not now:
        return "No larvae are expected yet."
    told = ", ".join(f"{n.share(value)} {STAGES.get(key, key.replace('_', ' '))}" for key, value in now.items())
    return f"The flight's brood today: {told}."


def _corn(series: Series, at: int) -> str:
    now = Range(low=series.collars_low[at], mid=series.collars_mid[at], high=series.collars_high[at])
    return f"Corn today: {n.collars(now)}." if now.high > 0 else "Corn has no leaf collar yet."
