"""A stop table in plain words: the answer first, then what to do after each count that may well come up."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING

from springwalk.show.caution import USUAL
from springwalk.show.numbers import day

if TYPE_CHECKING:  # words need the shape of the answer, not what makes it
    from springwalk.jobs.stop_told import FieldStops, PartStops, StopSaid

RARE = 0.0005
"""Counts less likely than this are left off the card; the JSON has them all."""
LEGEND = (
    '"search" = search for larvae round fresh cuts: treat where one is found, come back where none is. Counts that'
    " hardly ever come up are left out here and are in the JSON."
)
BASIS = "Money and odds rest on what is believed of the field so far, and on our assumptions about how larvae lie."
_SAID = {"count on": "count on", "leave": "leave it", "search and treat": "search"}


def stop_lines(field: FieldStops) -> tuple[str, ...]:
    """The stop tables of a field, line by line."""
    if not field.parts:
        return (f"{field.name}: treated, so no count decides here. Look at the flagged plants again instead.",)
    lines: list[str] = []
    for part in field.parts:
        named = part.zone or part.planting
        lines.append(f"{field.name}{f', {named}' if len(field.parts) > 1 and named else ''}: {_headline(part)}")
        lines += _rows(part)
    legend = (LEGEND,) if any("search" in line for line in lines) else ()
    return (*lines, *legend, BASIS, *USUAL)


def _headline(part: PartStops) -> str:
    without = _answer(part.without, part.without_on)
    if not part.table:
        return f"no count today would change what is best: {without}."
    stops = round(part.stops_expected)
    return (
        f"a count today is worth about ${part.worth:,.0f} and takes about {stops} stop{'s' if stops != 1 else ''} of"
        f" {part.places_per_stop} plant places. Count {'fresh cuts only' if part.fresh_only else 'all cut plants'}."
        f" Without a count the best is: {without}."
    )


def _rows(part: PartStops) -> list[str]:
    usual = sorted((s for s in part.table if s.chance >= RARE), key=lambda s: (s.stops, s.stops_with, s.cut))
    lines = ["  stops  with any cut  plants cut: what to do"] if usual else []
    for (stops, some), found in groupby(usual, key=lambda s: (s.stops, s.stops_with)):
        told = [_span(list(run), part.most_cut) for _, run in groupby(found, key=lambda s: (s.answer, s.on))]
        lines.append(f"  {stops:5d}  {some:12d}  {' · '.join(told)}")
    return lines


def _span(run: list[StopSaid], most: int) -> str:
    first, last = run[0].cut, run[-1].cut
    span = f"{first} or more" if last >= most else f"{first}" if first == last else f"{first}–{last}"
    return f"{span}: {_answer(run[0].answer, run[0].on)}"


def _answer(answer: str, on: date | None) -> str:
    return f"come back on {day(on)}" if answer == "come back" else _SAID[answer]
