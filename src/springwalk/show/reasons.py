"""Reason codes to sentences: one small function or text a code, in three tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from springwalk.jobs.results import DateRange, Range, Reason
from springwalk.show import numbers as n

KM_PER_MILE = 1.609344
FALL = 8
"""From this month on a day is one of the fall before the season, and its year is said."""

Facts = Mapping[str, Any]
Say = str | Callable[[Facts], str]

COVER = {
    "black": "black soil",
    "residue": "old residue with nothing green",
    "clean": "clean ground",
    "few weeds": "a few green weeds",
    "some weeds": "some green weeds",
    "many weeds": "many green weeds",
    "dense": "dense green cover",
}


def instar_words(instar: str | int | None) -> str:
    """An instar as words: ``4`` and ``instar_4`` both read "instar 4"; None reads "an instar not known"."""
    if instar is None:
        return "an instar not known"
    text = str(instar).replace("_", " ").removeprefix("instars ").removeprefix("instar ").replace(" ", "–")
    return f"instars {text}" if "–" in text else f"instar {text}"


def _cover(facts: Facts) -> str:
    """The ground as a phrase that can open a sentence."""
    told = str(facts.get("cover", "green cover"))
    words = COVER.get(told, told)
    return words[:1].upper() + words[1:]


def _when(value: Any) -> str:
    """A date fact as text, whether it is a date, ISO text, an estimated date, or its fields."""
    if isinstance(value, str):
        value = date.fromisoformat(value)
    if value is None:
        return "a day nobody told"
    if isinstance(value, Mapping):
        value = DateRange.model_validate(dict(value))
    if isinstance(value, date) and value.month >= FALL:
        return f"{n.day(value)} {value.year}"
    return n.dates(value)


def _flight(facts: Facts) -> str:
    """`` of 13 April`` where the flight is told."""
    return f" of {_when(facts['flight'])}" if facts.get("flight") else ""


def _amount(value: Any) -> Range | float:
    """A number fact as a Range or a float."""
    if isinstance(value, Mapping):
        return Range.model_validate(dict(value))
    return value if isinstance(value, Range) else float(value)


def _share(value: Any) -> str:
    return n.share(_amount(value))


def _odds(value: Any) -> str:
    """A chance as whole chances in 100, never 0 or 100."""
    return f"{min(99, max(1, round(100 * float(value))))} chances in 100"


def _cut(value: Any) -> str:
    amount = _amount(value)
    return n.per_100(amount if isinstance(amount, Range) else Range(low=amount, mid=amount, high=amount))


def _green_at_planting(facts: Facts) -> str:
    until = facts.get("until")
    end = f"; green until {_when(until)}" if until else "; nobody has told until when"
    return f"{_cover(facts)} at planting{end}."


def _before_flight(facts: Facts) -> str:
    since = facts.get("date")
    told = {"cover": "black", **facts}
    return f"{_cover(told)}{f' since {_when(since)}' if since else ''}, when the moths{_flight(facts)} came."


def _walked_recently(facts: Facts) -> str:
    days = facts.get("days")
    back = f", {n.ago(int(days))}" if days is not None else ""
    return f"Walked {_when(facts['date'])}{back}."


def _killed_early(facts: Facts) -> str:
    gap = n.count(int(facts["days_before_emergence"]), "day")
    return f"Green cover was killed {_when(facts['date'])}, {gap} before the corn is up: fewer larvae live on."


def _seen_cut(facts: Facts) -> str:
    fresh = n.count(int(facts["fresh"]), "fresh-cut plant")
    old = f" and {n.count(int(facts['old']), 'old cut')}" if facts.get("old") else ""
    places = n.count(int(facts["places"]), "plant place", words=False)
    return f"Counted{_by(facts)}: {fresh}{old} in {places}."


def _looked_cut(facts: Facts) -> str:
    fresh = n.count(int(facts["fresh"]), "fresh-cut plant")
    places = n.count(int(facts["places"]), "plant place", words=False)
    return f"Where it looked worst{_by(facts)}: {fresh} in {places}, kept apart from the count."


def _larvae_seen(facts: Facts) -> str:
    found = n.count(int(facts["n"]), "larva", "larvae")
    sizes = [n.number(float(mm), "", decimals=0) for mm in facts.get("mm") or ()]
    long = f", {' and '.join([', '.join(sizes[:-1]), sizes[-1]] if len(sizes) > 1 else sizes)} mm long" if sizes else ""
    instar = f", up to instar {int(facts['instar'])}" if facts.get("instar") is not None else ""
    return f"Found: {found}{long}{instar}."


def _by(facts: Facts) -> str:
    """``16 May by Wren`` where told, with a space before it."""
    when = f" {_when(facts['date'])}" if facts.get("date") else ""
    return f"{when} by {facts['person']}" if facts.get("person") else when


def _not_yet(facts: Facts) -> str:
    look = facts.get("first_look")
    return "Larvae are still too small to cut." + (f" First look {_when(look)}." if look else "")


def _past_v6(facts: Facts) -> str:
    seen = facts.get("collars")
    if seen is None:
        return "The corn is past six leaf collars, where this sheet ends."
    return f"The corn has {n.collars(_amount(seen))}, past the six where this sheet ends."


WHY: dict[str, Say] = {
    "green_at_planting": _green_at_planting,
    "green_until": lambda f: f"{_cover(f)} until {_when(f['until'])}.",
    "green_not_told": "Nobody has told how green this ground was, so an assumption stands in. Note it on the walk.",
    "still_green": lambda f: f"{_cover(f)}, still green as last told.",
    "black_before_flight": _before_flight,
    "bare_before_flight": _before_flight,
    "killed_early": _killed_early,
    "late_planted_feeding_over": lambda f: (
        f"Planted late: larvae are through feeding before the corn is up ({_odds(f['odds'])})."
    ),
    "cutting_now": lambda f: f"Larvae can cut now; most that can are in {instar_words(f['instar'])}.",
    "cutting_begins": lambda f: f"Cutting begins {_when(f['date'])}.",
    "not_yet": _not_yet,
    "walked_recently": _walked_recently,
    "past_v6": _past_v6,
    "no_flight": "No significant moth capture counts for this field.",
    "no_planting_date": (
        "No planting date told. If it is planted, add the date; if not, there is nothing to cut until its corn is up."
    ),
    "no_weather": "No weather reaches this field. Add a station or take in its newest days.",
    "no_corn_yet": lambda f: f"No corn up yet; expected {_when(f['date'])}.",
    "nearly_through": lambda f: f"{_share(f['share'])} of the brood is through feeding.",
    "few_larvae": lambda f: (
        f"Few larvae expected here from moths caught so far: {n.number(float(f['larvae']), 'per 100 plants')}."
    ),
    "beyond_season": "Cutting is not expected before this season's last day.",
    "low_risk": lambda f: f"Little to lose here in the next 7 days: {_cut(f['cut'])} expected cut.",
    "seen_cut": _seen_cut,
    "looked_cut": _looked_cut,
    "lone_cut": "So few can be a miscount or a bird, so the field is looked at again but does not come first.",
    "larvae_seen": _larvae_seen,
    "no_larvae_expected": (
        "By what was told no larvae of a known flight should be here: an earlier flight, another kind of cutworm, or"
        " ground greener than told. Measure larvae and look at their skin and tubercles."
    ),
    "ahead_of_flight": (
        "That is earlier than larvae of the known flight can cut: an earlier flight, another kind of cutworm, or"
        " another cause. Measure larvae and look at their skin and tubercles."
    ),
    "corn_disagrees": lambda f: (
        f"The corn seen does not fit the planting date told ({_when(f['planted'])}): check which is right."
    ),
}

LOOK_FOR: dict[str, Say] = {
    "same_flags": "The same places again, for cuts made since.",
    "leaf_feeding": "Pinholes and ragged leaf edges, the first sign.",
    "cut_plants": "Cut plants, fresh or old, and at what height.",
    "dig_larvae": "Dig at fresh cuts; measure up to ten larvae.",
    "dig_weeds": "Dig beside eaten weeds; measure larvae.",
    "weeds_vanishing": "Weeds eaten down or gone in patches: start there.",
    "spike": "Corn at the spike: empty places and cut spikes.",
    "tunnelling": "Wilted plants with a hole at the base: large larvae tunnel into corn too thick to cut.",
    "drowned_low": "Low ground: tell drowned plants from cut ones.",
}


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
    return f"On {_when(facts['date'])}, {what}{where}{left}{who}."


def _rule_unpublished(facts: Facts) -> str:
    return (
        f"Trap {facts['trap']} is of a kind ({facts['kind']}) for which no rule of a significant capture is published,"
        " so none of its nights is called one."
    )


def _method_span(facts: Facts) -> str:
    early, late = facts.get("early"), facts.get("late")
    by = f", from {_when(early)} to {_when(late)}" if early and late else ""
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
        f"{n.count(int(f['moths']), 'moth', words=False)} caught before {_when(f['date'])}, the season's first day, are"
        " not counted: set first_day earlier in season.toml."
    ),
    "planted_before_season": lambda f: (
        f"Corn planted before {_when(f['date'])}, the season's first day, is counted from that day: set first_day"
        " earlier in season.toml."
    ),
    "two_versions": lambda f: f"The store holds {_held(f)} in two versions; the newest is used until one is chosen.",
    "not_understood": lambda f: f"The store holds {_held(f)} that this version does not understand: kept, not used.",
    "caught_so_far": lambda f: (
        f"Larvae here come from moths caught up to {_when(f['date'])}; a later flight would add to them."
    ),
    "order_assumption": (
        "Fields where the last walk found cutting come first. The others stand in the order of plants expected to be"
        " cut per 100 in the next 7 days, if a field that was all green after one significant flight had 1 larva per"
        " 100 plant places. That is a yardstick for the order (an assumption), not a count."
    ),
    "weather_gap": _gap,
    "weather_old": lambda f: (
        f"The newest weather is of {_when(f['date'])}, {n.ago(int(f['days']))}: take in the days since."
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
        "There are no traps yet, and without moth catches nothing can be said of larvae."
        " Add traps.csv and catches.csv, then take them in."
    ),
    "catch_not_readable": lambda f: (
        f"Trap {f['trap']} read {_when(f['read'])} held {n.count(int(f['nights']), 'night')} of catch together;"
        " that cannot be split into nights, so no significant capture is read from it."
    ),
    "trap_rule_unpublished": _rule_unpublished,
    "method_span": _method_span,
}

CODES: dict[str, Say] = {**WHY, **LOOK_FOR, **NOTES}
"""Every known code. A code that begins with ``outside`` is said by :func:`say` in plain words."""


def sentence(reason: Reason) -> str:
    """The sentence of a known reason; KeyError for a code or a fact that is not there."""
    made = CODES[reason.code]
    return made if isinstance(made, str) else str(made(reason.facts))


def say(reason: Reason) -> str:
    """The sentence of a reason; a code not known here is said in plain words with its facts."""
    if reason.code in CODES:
        return sentence(reason)
    plain = reason.code.replace("_", " ")
    told = "; ".join(f"{key.replace('_', ' ')} {_fact(value)}" for key, value in sorted(reason.facts.items()))
    opening = plain[:1].upper() + plain[1:]
    return f"{opening} ({told})." if told else f"{opening}."


def _fact(value: Any) -> str:
    """A fact of an unknown kind as text."""
    if isinstance(value, Range):
        return n.estimate(value, "")
    if isinstance(value, date | DateRange):
        return n.dates(value)
    if isinstance(value, float):
        return n.number(value, "")
    return str(value)
