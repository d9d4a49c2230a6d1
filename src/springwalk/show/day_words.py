"""The day in plain words: who goes where at what time and what for, what is left out, and what that costs."""

from __future__ import annotations

from datetime import time
from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n
from springwalk.show.day_map import letter_of
from springwalk.show.facts import upper_first
from springwalk.show.look_titles import do_code
from springwalk.show.money_words import dollars, terms_words
from springwalk.show.numbers import Shown

if TYPE_CHECKING:  # words need the shape of the day, not what makes it
    from springwalk.jobs.day_said import Day, LeftOut, PersonDay, Purpose, Visit

SURE_SEARCH = 0.9
LIKELY_SEARCH = 0.2
WHY_LEFT = {
    "hours": "not enough hours",
    "small": "would not pay its own minutes today",
    "decided": "live larvae were found, and no other look could change the advice on its page",
    "closed": "opens too late today",
    "alone": "can't be reached and be back in time",
    "together": "does not fit beside the others",
}
FORCED = {"promised": "promised", "overdue": "overdue"}
BASIS = (
    "What a visit is worth is expected money, an assumption: for cutworm from flights, walks, counting tables and"
    " prices, for other looks so much an acre. It orders the day by money, while the morning list goes by what is due,"
    " so the two may differ. Not yet scored on whole seasons."
)


def day_headline(day: Day) -> str:
    """The answer in one line: how many fields, by how many people, and what is left out for want of hours."""
    fields = sum(len(person.visits) for person in day.people)
    if not fields:
        return "No field pays for a visit today."
    people = n.count(sum(1 for p in day.people if p.visits), "person", "people")
    short = [left for left in day.left_out if left.why in ("hours", "closed", "alone", "together")]
    left = f"; {n.count(len(short), 'field')} left out" if short else "; none that pays is left out"
    return f"{upper_first(n.count(fields, 'field'))} for {people} today{left}."


def day_lead(day: Day) -> str:
    """What the day is worth, what leaving out costs, and how sure it is that no better one exists."""
    if not any(person.visits for person in day.people):
        return upper_first(f"{n.count(len(day.left_out), 'field')} could be visited; none is worth its minutes.")
    worth = f"Worth about {dollars(day.worth_usd)} over wages."
    left = f" What is left out would be worth about {dollars(day.left_usd)}." if day.left_usd >= 1.0 else ""
    if day.proved:
        sure = " No better day exists for these numbers."
    elif day.bound_usd <= 1.01 * day.worth_usd:
        sure = " No day could be worth 1 % more."
    else:
        best = dollars(max(day.bound_usd, day.worth_usd))
        sure = f" No day can be worth more than {best}."
    clock = " The search was cut short by the clock." if day.stopped_by_clock else ""
    rate = dollars(day.hour_usd)
    hour = f" The best field left out pays about {rate} an hour over the wage." if day.hour_usd >= 1.0 else ""
    return worth + left + hour + sure + clock


def person_title(person: PersonDay, letter: str = "") -> str:
    """Who, when out and home; with the ``letter`` on the map where several walk."""
    who = person.person if not letter or person.person.endswith(f" {letter}") else f"{letter}, {person.person}"
    if person.go is None or person.home is None:
        return f"{who}: nothing that pays for the way."
    fields = n.count(len(person.visits), "field", words=False)
    return (
        f"{who}: leave {clock(person.go)}, home {clock(person.home)}; {fields}, {span(person.drive_min)} on"
        f" the road, {span(person.field_min)} in the rows."
    )


def visit_text(visit: Visit, position: int, twice: frozenset[str] = frozenset()) -> dict[str, str]:
    """One field of somebody's day as text by name; names that occur ``twice`` bear their grower."""
    forced = FORCED.get(visit.forced, "")
    return {
        "order": str(position),
        "time": Shown(f"{clock(visit.arrive)}–{clock(visit.leave)}"),
        "name": _named(visit.name, visit.grower, twice),
        "grower": visit.grower,
        "field": visit.field,
        "what": purposes_words(visit.purposes),
        "worth": f"worth about {dollars(visit.prize_usd)}" if visit.prize_usd >= 0.5 else forced or "little",
        "forced": forced,
    }


def _twice(day: Day) -> frozenset[str]:
    names = [shape.name for shape in day.outlines]
    return frozenset(name for name in names if names.count(name) > 1)


def _named(name: str, grower: str, twice: frozenset[str]) -> str:
    return f"{name} ({grower})" if name in twice and grower else name


def left_text(left: LeftOut) -> dict[str, str]:
    """One field left out: why, and what that costs."""
    costs = f"; costs about {dollars(left.costs_usd)}" if left.costs_usd >= 0.5 else ""
    forced = f"{FORCED[left.forced]}; " if left.forced in FORCED else ""
    return {
        "name": left.name,
        "field": left.field,
        "what": "" if left.why == "decided" else f"{purposes_words(left.purposes)}.",
        "why": upper_first(f"{forced}{WHY_LEFT[left.why]}{costs}."),
    }  # fmt: skip


def purposes_words(purposes: tuple[Purpose, ...]) -> str:
    """What to do in a field: ``count about 5 stops, search for larvae; count the stand``."""
    return upper_first("; ".join(_purpose(one) for one in purposes))


def _purpose(one: Purpose) -> str:
    if one.code != "cutworm":
        return do_code(one.code)
    stops = max(1, round(one.stops))
    if one.searches >= SURE_SEARCH and one.stops < 1.5:
        return "cutworm: look round one stop, then search for larvae"
    count = f"cutworm: count about {n.count(stops, 'stop', words=False)}"
    return f"{count}, be ready to search for larvae" if one.searches >= LIKELY_SEARCH else count


def clock(at: time) -> Shown:
    """A local time as ``7:05``, to the nearest minute."""
    minutes = min(at.hour * 60 + at.minute + (1 if at.second >= 30 else 0), 24 * 60 - 1)
    return Shown(f"{minutes // 60}:{minutes % 60:02d}")


def span(minutes: float) -> Shown:
    """Minutes as ``1 h 13 min``."""
    whole = round(minutes)
    return Shown(f"{whole // 60} h {whole % 60:02d} min" if whole >= 60 else f"{whole} min")


def day_text(day: Day) -> dict[str, Any]:
    """All text of the day, for page, paper and terminal."""
    twice = _twice(day)
    small = [left for left in day.left_out if left.why == "small" and not left.forced]
    short = [left for left in day.left_out if left not in small]
    return {
        "headline": day_headline(day),
        "lead": day_lead(day),
        "people": [
            {
                "title": person_title(person, letter_of(p) if len(day.people) > 1 else ""),
                "visits": [visit_text(visit, k, twice) for k, visit in enumerate(person.visits, start=1)],
            }
            for p, person in enumerate(day.people)
        ],
        "left": [left_text(left) for left in short],
        "small": _small(small),
        "dusk": _dusk(day),
        "rests": [_start(day), terms_words(day.terms), f"Roads: {day.roads}.", BASIS],
    }


def _dusk(day: Day) -> str:
    names = {shape.field: shape.name for shape in day.outlines}
    if not day.at_dusk:
        return ""
    said = ", ".join(names.get(field, field) for field in day.at_dusk)
    return f"At dusk tonight, as advised: search for larvae in {said}."


def _small(left: list[LeftOut]) -> str:
    if not left:
        return ""
    names = ", ".join(one.name for one in left)
    return f"Could be visited, but would not pay their own minutes today: {names}."


def _start(day: Day) -> str:
    each = " each" if len(day.people) > 1 else ""
    hours = f"{n.number(day.hours, 'hours', decimals=0 if day.hours % 1 == 0 else 1)}{each} from {clock(day.leave)}"
    return (
        f"{upper_first(hours)}, from the place told and back."
        if day.start_told
        else f"{upper_first(hours)}. Nobody told where from, so the middle of the fields is taken: put latitude and"
        " longitude under [team]."
    )
