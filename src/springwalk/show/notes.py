"""Notes of the sheet, by reason code: weather, traps, what the store holds."""

from __future__ import annotations

from datetime import date

from springwalk.show import numbers as n
from springwalk.show.facts import (
    COVER,
    Facts,
    Say,
    when_words,
)

KM_PER_MILE = 1.609344


def _gap(facts: Facts) -> str:
    first, last = (date.fromisoformat(x) if isinstance(x, str) else x for x in (facts["from"], facts["to"]))
    days = f" ({n.count(int(facts['days']), 'day')})" if facts.get("days") else ""
    fields = f" for {n.count(int(facts['fields']), 'field')}" if facts.get("fields") else ""
    return f"No temperatures{fields} {n.span(first, last)}{days}: past years stand in, and heat is not counted there."


def _doubted(facts: Facts, what: str) -> str:
    first, last = (date.fromisoformat(x) if isinstance(x, str) else x for x in (facts["from"], facts["to"]))
    days = n.count(int(facts["days"]), "day")
    return f"Weather of {facts['station']}, {n.span(first, last)}: {days} left out, {what}. Look at the file."


def _event(facts: Facts) -> str:
    """Something told of the ground on a date: what, what was left, where, by whom."""
    what = str(facts["what"])
    cover = facts.get("cover")
    left = f": {COVER.get(str(cover), str(cover))}" if cover else ""
    where = f" in {facts['zone']}" if facts.get("zone") else ""
    who = f", told by {facts['person']}" if facts.get("person") else ""
    return f"On {when_words(facts['date'])}, {what}{where}{left}{who}."


def _rule_unpublished(facts: Facts) -> str:
    return (
        f"Trap {facts['trap']} is of a kind ({facts['kind']}) for which no rule of a significant capture is published,"
        " so none of its nights is called one."
    )


def _method_span(facts: Facts) -> str:
    early, late = facts.get("early"), facts.get("late")
    by = f", from {when_words(early)} to {when_words(late)}" if early and late else ""
    return f"Other ways to add up heat move these dates{by}; each field's page shows them side by side."


def _far(facts: Facts, what: str) -> str:
    fields = n.count(int(facts["fields"]), "field")
    km = n.number(float(facts["km"]) / KM_PER_MILE, "miles", decimals=0)
    return f"The nearest {what} is up to {km} from {fields}: take dates there with care."


def _held(facts: Facts) -> str:
    kinds = " and ".join(str(kind) for kind in facts.get("kinds") or ())
    return f"{n.count(int(facts['n']), 'thing')} ({kinds})"


NOTES: dict[str, Say] = {
    "weather_filled": lambda f: (
        f"At {f['station']} {n.count(int(f['days']), 'missing day')} filled from other stations or straight across."
    ),
    "station_far": lambda f: _far(f, "weather station"),
    "trap_far": lambda f: _far(f, "moth trap"),
    "moths_before_season": lambda f: (
        f"{n.count(int(f['moths']), 'moth', words=False)} caught before {when_words(f['date'])}, the season's first"
        " day, are not counted: set first_day earlier in season.toml."
    ),
    "planted_before_season": lambda f: (
        f"Corn planted before {when_words(f['date'])}, the season's first day, is counted from that day: set first_day"
        " earlier in season.toml."
    ),
    "two_versions": lambda f: f"The store holds {_held(f)} in two versions; the newest is used until one is chosen.",
    "not_understood": lambda f: f"The store holds {_held(f)} that this version does not understand: kept, not used.",
    "forecast_unused": lambda f: (
        f"The newest forecast for {f['station']}, of {when_words(f['date'])}, is too old or does not reach today:"
        " it is not used. Take in a newer one."
    ),
    "reports_only": "No trap is read here; what is said of larvae rests on reported flights alone, without counts.",
    "report_unused": lambda f: (
        f"The flight reported by {f['source']} for {when_words(f['date'])} is not used: it is {f['why']}."
    ),
    "winter_filled": lambda f: (
        f"Heat since 1 January: {n.count(int(f['days']), 'day')} before the season without readings, in"
        f" {n.count(int(f['fields']), 'field')}; the mean of past years stands for them."
    ),
    "no_winter_days": lambda f: (
        "Heat since 1 January can't be told: the station's days before the season are missing"
        f" ({n.count(int(f['fields']), 'field')}). Take in its days from 1 January on."
    ),
    "caught_so_far": lambda f: (
        f"Larvae here come from moths caught up to {when_words(f['date'])}; a later flight would add to them."
    ),
    "order_assumption": (
        "Fields where the last walk found cutting come first. The others stand in the order of plants expected to be"
        " cut per 100 in the next 7 days, if a field that was all green after one significant flight had 1 larva per"
        " 100 plant places. That is a yardstick for the order (an assumption), not a count."
    ),
    "weather_gap": _gap,
    "weather_old": lambda f: (
        f"The newest weather is of {when_words(f['date'])}, {n.ago(int(f['days']))}: take in the days since."
    ),
    "weather_repeated": lambda f: _doubted(f, "the same reading day after day"),
    "weather_jumped": lambda f: _doubted(f, "a jump too large to be true"),
    "event": _event,
    "no_past_years": (
        "No past years of weather are in the store, so dates ahead have no honest range. Take in past years."
    ),
    "few_past_years": lambda f: (
        f"Only {n.count(int(f['n']), 'past year')} of weather stand for the days ahead, so ranges are rough."
    ),
    "no_traps": (
        "No moth traps are told, so this sheet dates no black cutworm. That is no sign that there are none."
        " If you trap, add traps.csv and catches.csv."
    ),
    "catch_not_readable": lambda f: (
        f"Trap {f['trap']} read {when_words(f['read'])} held {n.count(int(f['nights']), 'night')} of catch together;"
        " that cannot be split into nights, so no significant capture is read from it."
    ),
    "trap_rule_unpublished": _rule_unpublished,
    "method_span": _method_span,
}
