"""The receipt of an entry in words: what was noted where, what it changed, and what follows from it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from springwalk.jobs.entered import Entered
from springwalk.jobs.results import Look, Reason
from springwalk.show import numbers as n
from springwalk.show.facts import Facts
from springwalk.show.look_titles import key_title
from springwalk.show.step_words import step_text
from springwalk.units import MM_PER_IN

EVERY_FIELD = "every field"
EVENTS = {
    "hail": "Hail", "ponding": "Standing water", "water gone": "Water gone", "wind": "Wind", "frost": "Frost",
    "crust": "Crust", "emerged": "Corn up", "baits set": "Bait stations set",
    "torn up": "Stand torn up", "weeds seen": "Weeds", "cover killed": "Cover killed", "tilled": "Tillage",
}  # fmt: skip
"""What a tap says, as its button and its receipt name it."""
NO_PASS = " No pass of that day is noted: note it with its entry interval, or nobody is kept out of the field."


SAME_WALK = "The same walk is already kept; add its hour or a note if it is another."


def receipt(entered: Entered, look: Look | None = None) -> str:
    """An entry's receipt on one line: ``Hail on 18 May noted at North Eighty. Look 25–28 May.``"""
    told = _outcome(entered)
    extra = _after(entered.said) if entered.put in ("new", "revised", "same") else _again(entered.said)
    window = f" Look {n.span(look.opens, look.closes)}." if look is not None else ""
    return f"{told}{extra}{window}"


def _walk(facts: Facts) -> str:
    """``Walk on 17 May: 30 places, two larvae``; where only larvae were searched for, how many plants that took."""
    stops, larvae = facts.get("stops") or (), len(facts.get("larvae") or ())
    places = n.count(sum(int(stop["places"]) for stop in stops), "place", words=False)
    found = f", {n.count(larvae, 'larva', 'larvae')}" if larvae else ""
    searched = facts.get("plants_searched")
    if not stops and searched is not None:
        round_plants = n.count(int(searched), "plant", words=False)
        return f"Search on {_day(facts['walked'])}: {round_plants}{found or ', no larvae'}"
    return f"Walk on {_day(facts['walked'])}: {places}{found}"


def thing(said: Reason) -> str:
    """What was told, with its date: ``Hail on 18 May``, ``1.30 in. of rain on 18 May``."""
    return _THINGS[said.code](said.facts)


def _outcome(entered: Entered) -> str:
    what, at = thing(entered.said), _at(entered)
    if entered.put == "same" and entered.said.code == "entered_walk":
        return f"{what} was noted{at} already. Nothing changed. {SAME_WALK}"
    if entered.put == "same":
        return f"{what} was noted{at} already. Nothing changed."
    if entered.put == "conflict":
        return f"{what}{at}: two versions of it are held and this is neither. Nothing was written."
    if entered.put == "taken back":
        return f"Taken back: {_lower(what)}{at}."
    if entered.put == "brought back":
        return f"Taken back: {_lower(what)}{at}. As before: {_lower(_detail(entered.before))}."
    if entered.put == "revised" and entered.before is not None:
        return f"{_detail(entered.said)} noted{at}, in place of {_lower(_detail(entered.before))}."
    return f"{_detail(entered.said)} noted{at}."


def _at(entered: Entered) -> str:
    zone = str(entered.said.facts.get("zone") or "").partition("/")[2]
    return f" at {entered.name or EVERY_FIELD}{f', {zone}' if zone else ''}"


def _detail(said: Reason | None) -> str:
    """What was told with what was told of it: hours, whether rain beat the soil."""
    if said is None:
        return "nothing"
    facts, more = said.facts, ""
    if facts.get("hours") is not None:
        more = f" ({_hours(float(facts['hours']))})"
    elif facts.get("hard") is not None:
        more = " (fell hard)" if facts["hard"] else " (did not fall hard)"
    elif facts.get("insects") is not None or facts.get("units_with") is not None:
        more = f" ({_counted(facts)})"
    return f"{thing(said)}{more}"


def _after(said: Reason) -> str:
    """What follows from an entry: when a treated field opens, or that it is held until its interval is typed."""
    facts = said.facts
    if facts.get("opens") is not None:
        return f" Nobody enters before {n.moment(_time(facts['opens']))}."
    if facts.get("held_hours") is not None:
        held = _hours(float(facts["held_hours"]))
        return f" No entry interval typed: held out for {held}, until it is typed from the label in hand."
    if facts.get("torn_up") is not None:
        return f" The stand before it is told torn up on {_day(facts['torn_up'])}."
    if said.code == "entered_done" and facts.get("note"):
        return f" Why: {facts['note']}"
    if said.code == "entered_recommendation_step" and facts.get("what") == "done" and not facts.get("pass_key"):
        return NO_PASS
    return _looked(facts)


def _looked(facts: Facts) -> str:
    """What a check means for the look after the treatment: done with it, or still to be made."""
    done = "".join(f" The look “{key_title(str(key))}” is done with it." for key in facts.get("looks_done") or ())
    if facts.get("look_opens") is None:
        return done
    return f"{done} The look “{key_title('recheck')}” stays on the list: it opens on {_day(facts['look_opens'])}."


def _again(said: Reason) -> str:
    """Which looks an undone check gives back."""
    return "".join(f" The look “{key_title(str(key))}” is open again." for key in said.facts.get("looks_done") or ())


def _counted(facts: Facts) -> str:
    found: list[str] = []
    if facts.get("insects") is not None:
        found.append(n.count(int(facts["insects"]), "insect", words=False))
    if facts.get("units_with") is not None:
        found.append(f"{n.number(float(facts['units_with']), '', decimals=0)} with any")
    looked = n.number(float(facts["looked"]), "", decimals=0)
    return f"{', '.join(found)}, of {looked} {facts.get('unit') or 'looked at'}"


def _hours(hours: float) -> str:
    whole = float(hours).is_integer()
    return n.number(hours, "hour" if hours == 1 else "hours", decimals=0 if whole else 1)


def _time(value: Any) -> datetime:
    return datetime.fromisoformat(value) if isinstance(value, str) else value


def _day(value: Any) -> str:
    return n.day(date.fromisoformat(value) if isinstance(value, str) else value)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _event(facts: Facts) -> str:
    what = str(facts["what"])
    return f"{EVENTS.get(what, what.capitalize())} on {_day(facts['date'])}"


def _gauge(facts: Facts) -> str:
    return f"{n.number(float(facts['rain_mm']) / MM_PER_IN, 'in.', decimals=2)} of rain on {_day(facts['date'])}"


def _pass(facts: Facts) -> str:
    product = f" ({facts['product']})" if facts.get("product") else ""
    what = str(facts["what"])
    name = "Pass" if what == "other" else what.capitalize()
    return f"{name}{product} on {_day(facts['date'])}"


def _planting(facts: Facts) -> str:
    what = f" ({facts['hybrid']})" if facts.get("hybrid") else ""
    return f"Planting{what} on {_day(facts['date'])}"


def _done(facts: Facts) -> str:
    title = key_title(str(facts["look"]))
    ended = "set aside" if facts["outcome"] == "set aside" else "done"
    return f"Look “{title}” {ended} on {_day(facts['on'])}"


def _recommendation(facts: Facts) -> str:
    return f"Recommendation of {_day(facts['date'])}"


def _pest(facts: Facts) -> str:
    return f"{str(facts['pest']).capitalize()} counted on {_day(facts['date'])}"


_THINGS: dict[str, Callable[[Facts], str]] = {
    "entered_event": _event, "entered_gauge": _gauge, "entered_pass": _pass, "entered_done": _done,
    "entered_pest_count": _pest, "entered_walk": _walk, "entered_planting": _planting,
    "entered_recommendation": _recommendation, "entered_recommendation_step": step_text,
}  # fmt: skip
