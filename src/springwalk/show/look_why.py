"""Why there is something to look at beside cutworm: reason codes to sentences."""

from __future__ import annotations

from datetime import date
from typing import Any

from springwalk.jobs.results import DateRange, KeepOut
from springwalk.show import numbers as n
from springwalk.show.facts import Facts, Say, amount, day_of, moment_words, upper_first, when_words
from springwalk.show.look_titles import do_code


def told_by(facts: Facts) -> str:
    """``, told by R. Alder`` where someone is named."""
    return f", told by {facts['person']}" if facts.get("person") else ""


def days_from(day: Any, other: Any, what: str) -> str:
    """How a day lies to another: ``two days before planting``, ``on the day of planting``, ``a day after planting``."""
    gap = (day_of(day) - day_of(other)).days
    if gap == 0:
        return f"on the day of {what}"
    return f"{n.count(abs(gap), 'day')} {'after' if gap > 0 else 'before'} {what}"


def _cold_rain(facts: Facts) -> str:
    when = days_from(facts["rained"], facts["planted"], "planting")
    cold: list[str] = []
    if facts.get("mean_c") is not None:
        cold.append(f"the air at {n.temperature(float(facts['mean_c']))}")
    if facts.get("next_mean_c") is not None:
        after = f"{n.temperature(float(facts['next_mean_c']))} the next day"
        cold.append(after if cold else f"the air at {after}")
    if facts.get("soil_c") is not None:
        cold.append(f"the soil at {n.temperature(amount(facts['soil_c']))}")
    told = f", with {_and(cold)}" if cold else ""
    return f"{_rain(facts)} of rain on {when_words(facts['rained'])}, {when}{told}: the seed may be chilled."


def _rain(facts: Facts) -> str:
    return str(n.rain(float(facts["rain_mm"])))


def _and(items: list[str]) -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"


def _seed_heat(facts: Facts) -> str:
    low, high = (n.number(float(facts[name]), "", decimals=0) for name in ("low_f", "high_f"))
    return f"Heat since planting reaches {low}–{high} GDD {when_words(facts['date'])}."


def _hard_rain(facts: Facts) -> str:
    rain, day, hard = _rain(facts), when_words(facts["date"]), facts.get("hard")
    if hard is None:
        return f"{rain} of rain on {day} can seal the soil if it fell hard; nobody has told whether it did."
    if not hard:
        return f"{rain} of rain on {day} fell gently, so it should not seal the soil."
    return f"{rain} of hard rain on {day} can seal the soil."


def _drying(facts: Facts) -> str:
    gone = facts.get("drained_mm")
    dried = f"; {n.rain(amount(gone))} of water has dried out of its top layer" if gone is not None else ""
    return f"The soil has been drying since {when_words(facts['since'])}{dried}."


def _spike_expected(facts: Facts) -> str:
    planted = f"Planted {when_words(facts['planted'])}; the" if facts.get("planted") else "The"
    return f"{planted} spike is expected {when_words(facts['date'])}."


def _emerged(facts: Facts) -> str:
    if facts.get("seen"):
        return f"Seen up {when_words(facts['date'])}."
    return f"Expected up {when_words(facts['date'])} by heat since planting; add the day it came up."


def _ponding(facts: Facts) -> str:
    hours = f", about {n.count(round(float(facts['hours'])), 'hour')}" if facts.get("hours") is not None else ""
    gone = facts.get("gone")
    left = f"it left {when_words(gone)}" if gone else "add the day it left"
    return f"Water stood on {when_words(facts['date'])}{hours}{told_by(facts)}; {left}.{_warmth(facts)}"


def _warmth(facts: Facts) -> str:
    """What the warmest day under water means for plants, or for seed; "" where no temperature is known."""
    if facts.get("high_c") is None:
        return ""
    high, warm = n.temperature(float(facts["high_c"])), bool(facts.get("hot"))
    if not facts.get("up", True):
        return f" It was up to {high} meanwhile; seed drowns sooner in warm water than in cool."
    if warm:
        return f" It was up to {high} meanwhile: above 77 °F plants under six collars may not last a day under water."
    return f" It was up to {high} meanwhile: at 77 °F or below plants under six collars last two to four days."


def _frost(facts: Facts) -> str:
    low = n.temperature(float(facts["low_c"])) if facts.get("low_c") is not None else ""
    day = when_words(facts["date"])
    if facts.get("told"):
        held = f", for about {n.count(round(float(facts['hours'])), 'hour')}" if facts.get("hours") is not None else ""
        said = f"Frost on {day}{held}{told_by(facts)}" + (f"; {low} by the station." if low else ".")
    else:
        said = (
            f"Down to {low or 'near freezing'} by the station on {day}; low ground is colder on a still, clear night."
        )
    kill = " 28 °F or less for some hours can reach the growing point." if facts.get("kill") else ""
    ground = f" Low ground here: {facts['low_ground']}." if facts.get("low_ground") else ""
    return f"{said}{kill}{ground}"


def _kill_gap(facts: Facts) -> str:
    when = days_from(facts["killed"], facts["planted"], "planting")
    return (
        f"Cover was killed {when_words(facts['killed'])}, {when}: more root rot, and insects that"
        " move from it to the corn."
    )


def product_words(facts: Facts) -> str:
    """What was put on: ``Insecticide (as typed from the label)``."""
    named = f" ({facts['product']})" if facts.get("product") else ""
    return f"{upper_first(str(facts.get('what') or 'treatment'))}{named}"


def _treated(facts: Facts) -> str:
    opens = facts.get("opens")
    entry = f"open to people from {moment_words(opens)}" if opens else "no entry interval was typed from the label"
    return f"{product_words(facts)} went on {when_words(facts['date'])}; {entry}."


def _promised(facts: Facts) -> str:
    whom = f"to {facts['grower']}" if facts.get("grower") else "for this field"
    last = f"last walked {when_words(facts['last'])}" if facts.get("last") else "not walked yet"
    days = int(facts["every_days"])
    every = "day" if days == 1 else n.count(days, "day")
    return f"A walk every {every} was promised {whom}; {last}, due {when_words(facts['due'])}."


def _tests(facts: Facts) -> list[str]:
    """A seed lot's tests that were told."""
    known = [(name, facts.get(f"{name}_pct")) for name in ("cold", "warm")]
    return [f"{name} test {n.percent(float(value))}" for name, value in known if value is not None]


def _lot_weak(facts: Facts) -> str:
    tests = _tests(facts)
    return f"Seed lot {facts['lot']} is weak{': ' if tests else ''}{_and(tests) if tests else ''}."


def _nothing_left(facts: Facts) -> str:
    since = facts.get("since")
    if not since:
        return "Nothing more to look for before six collars. Note hail, frost, wind or standing water here if it comes."
    missed = [do_code(str(code)) for code in facts.get("missed") or ()]
    untold = (
        f" Nobody told of these: {', '.join(dict.fromkeys(missed))}. Add what was seen, or set them aside."
        if missed
        else ""
    )
    return f"Past six collars since about {when_words(since)}: nothing more to do here.{untold}"


def _next_look(facts: Facts) -> str:
    when, closes = facts["date"], facts.get("closes")
    days = when_words(when)
    if closes and isinstance(when, date | str):
        days = str(n.span(day_of(when), day_of(closes)))
    return f"Next: {do_code(str(facts['code']))}, {days}{_good_to(facts)}."


def _good_to(facts: Facts) -> str:
    """How far the first day of a coming look may move: with the date itself, or with emergence before it."""
    told = facts.get("estimate")
    if not told:
        return ""
    estimate = told if isinstance(told, DateRange) else DateRange.model_validate(told)
    if estimate.mid != day_of(facts["date"]):
        return f"; emergence {n.dates(estimate)}"
    if estimate.early is None or estimate.late is None or estimate.early == estimate.late:
        return ""
    return f" (may start {n.span(estimate.early, estimate.late)})"


def _when_passing(facts: Facts) -> str:
    days = n.span(day_of(facts["date"]), day_of(facts["closes"]))
    return f"If you pass by: {do_code(str(facts['code']))}, {days}. It is not worth a drive of its own."


def _too_wet(facts: Facts) -> str:
    rain = f"after {_rain(facts)} of rain in the last two days, up to {when_words(facts['date'])}"
    if not facts.get("until"):
        return f"Too wet {rain}; when it will be fit can't be said, so look at the ground before you go."
    return f"Too wet {rain}; likely fit to walk {n.weekday(day_of(facts['until']))} if no more falls."


def _keep_out(facts: Facts) -> str:
    day = f" went on {when_words(facts['on'])}" if facts.get("on") else " was put on"
    where = f" in {facts['zone']}" if facts.get("zone") else ""
    opens = facts.get("opens")
    if not opens:
        return (
            f"{product_words(facts)}{day}{where} and no entry interval was typed: keep out, and type it from the label"
            " in hand with springwalk pass."
        )
    hour = "" if facts.get("told_time", True) else " Its hour was not told, so the day's end is taken: tell it."
    return f"{product_words(facts)}{day}{where}: keep out until {moment_words(opens)}.{hour}"


def keep_out_words(held: KeepOut) -> str:
    """Why a field is held out and until when."""
    return _keep_out(held.model_dump())


def _pass_told(facts: Facts) -> str:
    where = f" in {facts['zone']}" if facts.get("zone") else ""
    hours = facts.get("entry_hours")
    entry = f"; entry interval typed: {n.hours(float(hours))}" if hours is not None else ""
    return f"{product_words(facts)} on {when_words(facts['date'])}{where}{entry}{told_by(facts)}."


def _lot_told(facts: Facts) -> str:
    tests = _tests(facts)
    said = [str(facts[key]) for key in ("hybrid", "trait", "treatment") if facts.get(key)]
    more = f": {', '.join([*said, *tests])}" if said or tests else ", of which nothing more was told"
    return f"Seed lot {facts['lot']}{more}."


LOOK_WHY: dict[str, Say] = {
    "cold_rain": _cold_rain,
    "seed_heat": _seed_heat,
    "hard_rain": _hard_rain,
    "crust_seen": lambda f: f"A crust was seen on {when_words(f['date'])}{told_by(f)}.",
    "drying": _drying,
    "spike_expected": _spike_expected,
    "no_spike_told": lambda f: (
        f"The heat a spike takes, 120 GDD, is reached {when_words(f['date'])}; nobody has told that the corn is up."
    ),
    "emerged": _emerged,
    "ponding_told": _ponding,
    "frost_low": _frost,
    "hail_told": lambda f: f"Hail on {when_words(f['date'])}{told_by(f)}.",
    "wind_told": lambda f: f"Strong wind on {when_words(f['date'])}{told_by(f)}.",
    "collars_window": lambda f: f"V3 is reached {when_words(f['first'])} and V5 {when_words(f['last'])}.",
    "kill_gap": _kill_gap,
    "treated": _treated,
    "promised": _promised,
    "baits_told": lambda f: f"Bait stations were set on {when_words(f['date'])}{told_by(f)}.",
    "lot_weak": _lot_weak,
    "plant_after": lambda f: (
        f"Hold planting until {when_words(f['date'])} if you can: cover was killed {when_words(f['killed'])}, and corn"
        " planted sooner stands in dying cover."
    ),
    "next_look": _next_look,
    "when_passing": _when_passing,
    "nothing_left": _nothing_left,
    "too_wet": _too_wet,
    "keep_out": _keep_out,
    "planted_part": lambda f: (
        f"Planted so far: {n.area(float(f['done_ha']))} of {n.area(float(f['area_ha']))}, by {when_words(f['date'])}."
    ),
    "insurer_now": lambda f: (
        f"Hail on {when_words(f['date'])}: call the insurer before anything is torn up; terms are in the policy."
    ),
    "dry_bed": lambda f: (
        f"No rain to speak of since planting on {when_words(f['since'])} and the top layer is dry: seed may lie in dry"
        " soil, which heat alone does not bring up."
    ),
    "interval_untold": lambda f: (
        f"{product_words(f)} on {when_words(f['date'])}: nobody typed the entry interval. Read the label before anyone"
        " goes in, and type the interval."
    ),
    "rain_unknown": (
        "No rain is known here, so cold rain, crust and wet ground can't be told: note your gauge with springwalk rain,"
        " or add a station that reports rain."
    ),
    "rain_told": lambda f: (
        f"Own gauge: {_rain(f)} on {when_words(f['date'])}"
        f"{'' if f.get('hard') is None else ', fell hard' if f['hard'] else ', fell gently'}{told_by(f)}."
    ),
    "pass_told": _pass_told,
    "lot_told": _lot_told,
}
