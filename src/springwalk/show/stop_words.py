"""A stop table in plain words: the answer first, then what to do after each count that may well come up."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n
from springwalk.show.caution import SHORT, USUAL
from springwalk.show.facts import upper_first
from springwalk.show.money_words import dollars
from springwalk.show.numbers import Shown, day

if TYPE_CHECKING:  # words need the shape of the answer, not what makes it
    from springwalk.jobs.stop_told import FieldStops, PartStops, StopSaid

RARE = 0.0005
"""Counts less likely than this are left off the card; the JSON has them all."""
LEGEND = (
    '"search" = search for larvae round fresh cuts: treat where one is found, come back where none is. Counts that'
    " hardly ever come up are left out. More cut plants can ask for less: several in one stop are often one larva's."
)
BASIS = "Money and odds rest on what was seen here and elsewhere so far, and on our assumptions about how larvae lie."
TREATED = "treated, so no count decides here. Look at the flagged plants again instead."
_SAID = {"count on": "count on", "leave": "leave it", "search and treat": "search", "treat": "treat it"}


def stop_lines(field: FieldStops) -> tuple[str, ...]:
    """The stop tables of a field, line by line."""
    if not field.parts:
        return (f"{field.name}: {TREATED}",)
    lines: list[str] = []
    for part in field.parts:
        lines.append(f"{_title(field, part)}: {_headline(part)}")
        lines += _rows(part)
    legend = (LEGEND,) if any("search" in line for line in lines) else ()
    return (*lines, *legend, BASIS, *USUAL)


def stop_text(field: FieldStops) -> dict[str, Any]:
    """The stop tables as text by name, for the page and the card: each part's answer and its rows."""
    parts = [
        {
            "title": _title(field, part),
            "answer": upper_first(_headline(part)),
            "rows": [{"stops": Shown(str(k)), "some": Shown(str(j)), "told": told} for k, j, told in _told(part)],
        }
        for part in field.parts
    ]
    return {
        "name": field.name,
        "day": day(field.today),
        "treated": "" if parts else TREATED,
        "parts": parts,
        "legend": LEGEND if any(part.search_odds > 0 for part in field.parts) else "",
        "basis": BASIS,
        "cautions": USUAL,
        "short": SHORT,
    }


def _title(field: FieldStops, part: PartStops) -> str:
    named = part.zone or part.planting
    return f"{field.name}{f', {named}' if len(field.parts) > 1 and named else ''}"


def _headline(part: PartStops) -> str:
    without = _answer(part.without, part.without_on)
    worth = f"about {dollars(part.worth)}"
    if not part.table and part.worth >= 1.0 and part.search_odds > 0.5:
        return (
            f"begin with the search for larvae; it is worth {worth}, and a count of cut plants would add nothing to it"
            f" today. Without a visit the best is: {without}."
        )
    if not part.table and part.larvae_found:
        return "live larvae were found in the last days, so no count decides: the advice for the field goes by them."
    if not part.table:
        return f"no count today would change what is best: {without}."
    stops = n.count(max(1, round(part.stops_expected)), "stop", words=False)
    return (
        f"a count today is worth {worth} and takes about {stops} of"
        f" {n.count(part.places_per_stop, 'plant place', words=False)}. Count"
        f" {'fresh cuts only' if part.fresh_only else 'all cut plants'}. Without a visit the best is: {without}."
    )


def _rows(part: PartStops) -> list[str]:
    told = _told(part)
    lines = ["  stops  with any cut  plants cut: what to do"] if told else []
    return [*lines, *(f"  {stops:5d}  {some:12d}  {spans}" for stops, some, spans in told)]


def _told(part: PartStops) -> list[tuple[int, int, str]]:
    """(stops made, stops with any cut, what to do by plants cut) of the counts that may well come up."""
    usual = sorted((s for s in part.table if s.chance >= RARE), key=lambda s: (s.stops, s.stops_with, s.cut))
    rows = []
    for (stops, some), found in groupby(usual, key=lambda s: (s.stops, s.stops_with)):
        told = [_span(list(run), part.most_cut) for _, run in groupby(found, key=lambda s: (s.answer, s.on))]
        rows.append((stops, some, " · ".join(told)))
    return rows


def _span(run: list[StopSaid], most: int) -> str:
    first, last = run[0].cut, run[-1].cut
    span = f"{first} or more" if last >= most else f"{first}" if first == last else f"{first}–{last}"
    return f"{span}: {_answer(run[0].answer, run[0].on)}"


def _answer(answer: str, on: date | None) -> str:
    return f"come back on {day(on)}" if answer == "come back" else _SAID[answer]
