"""Reason codes to sentences: one small function or text a code, in tables."""

from __future__ import annotations

from datetime import date
from typing import Any

from springwalk.jobs.results import DateRange, Range, Reason
from springwalk.show import numbers as n
from springwalk.show.facts import (
    Facts,
    Say,
    amount,
    cover_words,
    cut,
    flight,
    instar_words,
    odds,
    share_words,
    when_words,
)
from springwalk.show.look_why import LOOK_WHY
from springwalk.show.look_words import LOOK_CAN_DO, LOOK_LOOK_FOR, LOOK_NOT_YET
from springwalk.show.notes import NOTES
from springwalk.show.pest_say import PEST_SAY
from springwalk.show.pest_why import PEST_WHY


def _green_at_planting(facts: Facts) -> str:
    until = facts.get("until")
    end = f"; green until {when_words(until)}" if until else "; nobody has told until when"
    return f"{cover_words(facts)} at planting{end}."


def _before_flight(facts: Facts) -> str:
    since = facts.get("date")
    told = {"cover": "black", **facts}
    return f"{cover_words(told)}{f' since {when_words(since)}' if since else ''}, when the moths{flight(facts)} came."


def _walked_recently(facts: Facts) -> str:
    days = facts.get("days")
    back = f", {n.ago(int(days))}" if days is not None else ""
    return f"Walked {when_words(facts['date'])}{back}."


def _killed_early(facts: Facts) -> str:
    gap = n.count(int(facts["days_before_emergence"]), "day")
    return f"Green cover was killed {when_words(facts['date'])}, {gap} before the corn is up: fewer larvae live on."


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
    when = f" {when_words(facts['date'])}" if facts.get("date") else ""
    return f"{when} by {facts['person']}" if facts.get("person") else when


def _not_yet(facts: Facts) -> str:
    look = facts.get("first_look")
    return "Larvae are still too small to cut." + (f" First look {when_words(look)}." if look else "")


def _past_v6(facts: Facts) -> str:
    seen = facts.get("collars")
    if seen is None:
        return "The corn is past six leaf collars, where this sheet ends."
    return f"The corn has {n.collars(amount(seen))}, past the six where this sheet ends."


WHY: dict[str, Say] = {
    "green_at_planting": _green_at_planting,
    "green_until": lambda f: f"{cover_words(f)} until {when_words(f['until'])}.",
    "green_not_told": "Nobody has told how green this ground was, so an assumption stands in. Note it on the walk.",
    "still_green": lambda f: f"{cover_words(f)}, still green as last told.",
    "black_before_flight": _before_flight,
    "bare_before_flight": _before_flight,
    "killed_early": _killed_early,
    "late_planted_feeding_over": lambda f: (
        f"Planted late: larvae are through feeding before the corn is up ({odds(f['odds'])})."
    ),
    "cutting_now": lambda f: f"Larvae can cut now; most that can are in {instar_words(f['instar'])}.",
    "cutting_begins": lambda f: f"Cutting begins {when_words(f['date'])}.",
    "not_yet": _not_yet,
    "walked_recently": _walked_recently,
    "treated": lambda f: f"Treated {when_words(f['date'])}: the look after the treatment decides.",
    "past_v6": _past_v6,
    "no_flight": "No significant moth capture counts for this field.",
    "no_planting_date": (
        "No planting date told. Planted: add the date, or note whether it is up. Not planted: nothing to do here yet."
    ),
    "no_weather": "No weather reaches this field. Add a station or take in its newest days.",
    "no_corn_yet": lambda f: f"No corn up yet; expected {when_words(f['date'])}.",
    "nearly_through": lambda f: f"{share_words(f['share'])} of the brood is through feeding.",
    "few_larvae": lambda f: (
        f"Few larvae expected here from moths caught so far: {n.number(float(f['larvae']), 'per 100 plants')}."
    ),
    "beyond_season": "Cutting is not expected before this season's last day.",
    "low_risk": lambda f: f"Little to lose here in the next 7 days: {cut(f['cut'])} expected cut.",
    "seen_cut": _seen_cut,
    "looked_cut": _looked_cut,
    "walk_asked": lambda f: (
        f"The walk of {when_words(f['date'])} can't be right as told: this field's page asks what to correct."
    ),
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
        f"The corn seen does not fit the planting date told ({when_words(f['planted'])}): check which is right."
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

LOOKS: dict[str, Say] = {**LOOK_WHY, **LOOK_LOOK_FOR, **LOOK_CAN_DO, **LOOK_NOT_YET, **PEST_SAY, **PEST_WHY}
CODES: dict[str, Say] = {**WHY, **LOOK_FOR, **LOOKS, **NOTES}
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
