"""A search for larvae in plain words: where and when to search, what to do after so many plants, what then."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING

from springwalk.show import numbers as n
from springwalk.show.advice_part_words import CLOSE_USD_AC, HOW_TO_SEARCH
from springwalk.show.caution import USUAL

if TYPE_CHECKING:  # words need the shape of the answer, not what makes it
    from springwalk.jobs.search_table import FieldSearch, PartSearch, SearchSaid

BASIS = (
    "Rests on what is believed of the field with today's count, and on our assumptions about how many larvae a search"
    " finds. Nothing is treated where none is found, today or later."
)
BETTER = " A search at this hour finds more than one by day, on which the stop table and later visits count."
WORSE = " A search like this finds less than one by day in moist soil, on which the stop table and later visits count."
CLOSE = "a close call; see the advice after typing the search in"
ASK = "Then tell what was found and ask: springwalk advise {field}."
_SAID = {"go on": "go on", "treat": "stop and treat", "leave": "stop and leave it"}


def search_lines(field: FieldSearch) -> tuple[str, ...]:
    """The search tables of a field, line by line: how to search, then for each part how long."""
    if not field.parts:
        return (f"{field.name}: treated, so no search decides here. Look at the flagged plants again instead.",)
    lines: list[str] = []
    for part in field.parts:
        named = part_name(field, part)
        front = f"{field.name}{f', {named}' if named else ''}"
        lines += [f"{front}: {headline(field, part)}", *(f"  {line}" for line in steps(part, field.most_plants))]
    if any(part.table for part in field.parts):
        lines += [HOW_TO_SEARCH, ASK.format(field=field.field)]
    return (*lines, basis(field), *USUAL)


def basis(field: FieldSearch) -> str:
    """What the answer rests on, and how the search compares with the one the stop table counts on."""
    return BASIS + (BETTER if field.against_day > 1.0 else WORSE if field.against_day < 1.0 else "")


def part_name(field: FieldSearch, part: PartSearch) -> str:
    """What tells a part from the others: its zone, its planting, or both; "" where the field is one part."""
    zones, plantings = {one.zone for one in field.parts}, {one.planting for one in field.parts}
    zone = (part.zone or "rest of the field") if len(zones) > 1 else ""
    planting = f"planting {str(part.planting).rpartition('/')[2]}" if len(plantings) > 1 and part.planting else ""
    return " of ".join(word for word in (zone, planting) if word)


def headline(field: FieldSearch, part: PartSearch) -> str:
    """What a search is worth and by how many plants at a time; or why none is needed."""
    without = _SAID_FIRST[part.without].format(on=n.day(part.without_on))
    if part.found_before:
        found = n.count(part.found_before, "live larva was", "live larvae were")
        return f"{found} found in the last days, so no search is needed before choosing."
    if part.no_search:
        return f"{_NO_SEARCH[part.no_search]}, so no search today would change what is best: {without}."
    if not part.table:
        return f"no search today would change what is best: {without}."
    batch, minutes = n.count(field.batch, "plant", words=False), n.number(part.minutes, "minutes", decimals=0)
    worth = f"about ${part.worth:,.0f}" if part.worth >= 1.0 else "less than $1"
    return (
        f"a search at {n.number(field.hour, '', decimals=0)}:00 in {field.soil} soil is worth {worth}."
        f" Take {batch} at a time (about {minutes}). Without a search: {without}."
    )


_NO_SEARCH = {"not up": "the corn is not up", "nothing there": "no larva can be there to be found"}
_SAID_FIRST = {"come back": "come back on {on}", "leave": "leave it", "treat": "treat", "go on": "go on"}


def steps(part: PartSearch, most_plants: int) -> list[str]:
    """One line for each run of plants with the same answer where none is found, and one for each where one is.

    ``most_plants``: a search that gets there ends because no longer one is worked out, and says so.
    """
    if part.found_before:
        return []
    lines = []
    for _, run in groupby(part.table, key=lambda row: (row.none, row.none_on)):
        rows = list(run)
        chance = n.share(rows[-1].chance_none, basis="assumption")
        known = "" if rows[-1].none == "go on" else f" (none found this far: {chance} of such fields)"
        end = ". A longer search is not worked out" if rows[-1].plants >= most_plants else ""
        lines.append(f"None found after {_span(rows)}: {_answer(rows[0].none, rows[0].none_on)}{known}{end}.")
    for told, run in groupby(part.table, key=_found):
        rows = list(run)
        where = "" if len(rows) == len(part.table) else f" by {_span(rows)}"
        lines.append(f"A larva of treatable size found{where}: {told}.")
    return lines


def _found(row: SearchSaid) -> str:
    """What to do with one found: not settled by the table where treating and not treating lie close together."""
    if row.found != "go on" and abs(row.found_margin_per_ac) <= CLOSE_USD_AC:
        return CLOSE
    return _answer(row.found, row.found_on)


def _span(rows: list[SearchSaid]) -> str:
    first, last = rows[0].plants, rows[-1].plants
    between = n.number(first, "", decimals=0) if first == last else f"{first:,}–{last:,}"
    return f"{between} plants"


def _answer(answer: str, on: date | None) -> str:
    return f"stop and come back on {n.day(on)}" if answer == "come back" else _SAID[answer]
