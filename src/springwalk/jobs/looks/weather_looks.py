"""Looks that weather makes: crust, standing water, frost, hail, wind; by the station, the own gauge, or a tap."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from springwalk.engine.events import runs
from springwalk.jobs.looks.facts import FieldFacts, Sown
from springwalk.jobs.looks.frame import make_look, reason
from springwalk.jobs.results import Look, Reason
from springwalk.records import Event

STANDS = timedelta(days=5)
"""Water told longer ago is hardly still standing (assumption)."""
APART = 3
"""Frosts or showers at most this many days apart are looked at once."""


def weather_looks(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Every look of one planting that weather makes."""
    return [*crust(facts, sown), *ponding(facts, sown), *frost(facts, sown), *hail(facts, sown), *wind(facts, sown)]


def _in_ground(sown: Sown, day: date) -> bool:
    return sown.planting is not None and (sown.planted is None or sown.planted <= day)


def crust(facts: FieldFacts, sown: Sown) -> list[Look]:
    """An inch of hard rain, or a crust seen, between planting and the spike: dig ten seeds in a row.

    It is counted from the last rain that kept the soil wet, and until the late end of the spike's dates.
    """
    late = (sown.spike.late or sown.spike.mid) if sown.spike else None
    if sown.planted is None or late is None or sown.up_seen:
        return []
    rained = _sealing_rain(facts, sown.planted, late)
    seen = [e.date for e in facts.told("crust", sown.id) if sown.planted <= e.date <= late]
    if rained is None and not seen:
        return []
    rules, day = facts.rules, max([*seen, *([rained[1]] if rained else [])])
    opens = day if day in seen else day + rules.days("crust_opens")
    closes = max(opens, day + rules.days("crust_closes"))
    if opens > late:
        return []
    why = [_rain_reason(facts, rained[0])] if rained else []
    why += [reason("crust_seen", date=max(seen))] if seen else []
    why += [reason("spike_expected", date=sown.spike, planted=sown.planted)] if sown.spike else []
    cause = rained[0] if rained else min(seen)
    return [
        make_look(
            facts, "crust", sown, cause, (opens, closes, closes), rule="crust_rain",
            timed=("crust_opens", "crust_closes"), minutes="dig_minutes", closed_by="done", why=tuple(why),
            look_for=(reason("ten_in_row"), reason("leafed_under")), can_do=(reason("hoe_or_water", until=closes),),
        )
    ]  # fmt: skip


def _sealing_rain(facts: FieldFacts, planted: date, late: date) -> tuple[date, date] | None:
    """The last rain since planting that can seal the soil, and the last day rain kept the soil wet after it.

    One told to have been gentle does not count.
    """
    sky = facts.sky
    if sky is None:
        return None
    days = facts.span(planted, min(late, facts.today))
    a, b = days.start, days.stop - 1
    rain = np.where(sky.rain_known[: b + 1], sky.rain_mm[: b + 1], 0.0)
    sealing = (rain >= facts.rules.table["crust_rain"] - 0.05) & ~(sky.hard[: b + 1] == 0)
    found = np.flatnonzero(sealing[a:]) + a
    if not found.size:
        return None
    last = wet = int(found[-1])
    while wet < b and rain[wet + 1] >= facts.rules.table["wet_again"]:
        wet += 1
    return facts.day(last), facts.day(wet)


def _rain_reason(facts: FieldFacts, day: date) -> Reason:
    assert facts.sky is not None
    k = facts.index(day)
    told = facts.sky.hard[k]
    return reason(
        "hard_rain", rain_mm=float(facts.sky.rain_mm[k]), date=day, hard=None if np.isnan(told) else bool(told)
    )


def ponding(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Water that stood: judged 3–5 days after it left; 77 °F is the switch between one day and about four."""
    stood = [e for e in facts.told("ponding", sown.id) if _in_ground(sown, e.date)]
    stood = [e for e in stood if e.date >= facts.ended_on("ponding", sown.id)]
    return [_pond_look(facts, sown, stood, first, last) for first, last in _spells(stood)]


def _pond_look(facts: FieldFacts, sown: Sown, stood: list[Event], first: Event, last: Event) -> Look:
    left = [e.date for e in facts.told("water gone", sown.id) if e.date >= first.date]
    after = [e.date for e in stood if e.date > last.date]
    gone = min([d for d in left if not after or d < min(after)], default=None) or _until(last)
    end, rules = gone or last.date, facts.rules
    window = (end + rules.days("pond_opens"), end + rules.days("pond_closes"), end + rules.days("weather_lapses"))
    hot, up = _warmest(facts, first.date, end), sown.up_on(first.date)
    told = reason(
        "ponding_told", date=first.date, hours=last.hours, gone=gone, high_c=hot, up=up, person=first.person,
        hot=None if hot is None else hot > rules.pond_switch_c,
    )  # fmt: skip
    standing = gone is None and facts.today - last.date <= STANDS
    look_for = ("growing_point", "new_growth") if up else ("ten_seeds", "leafed_under")
    return make_look(
        facts, "ponding", sown, first.date, window, rule="pond_opens", zone=_zone(first), why=(told,),
        look_for=tuple(reason(code) for code in look_for), can_do=(reason("let_water_off"),) if standing else (),
        not_yet=(reason("no_replant_before", date=window[0]),) if gone else (),
    )  # fmt: skip


def _zone(event: Event) -> str | None:
    """The short name of the zone an event was told of."""
    return event.zone.split("/")[-1] if event.zone else None


def _spells(events: list[Event]) -> list[tuple[Event, Event]]:
    """Tells of one spell together: (first, last)."""
    out: list[tuple[Event, Event]] = []
    for event in events:
        if out and (event.date - out[-1][1].date).days <= APART:
            out[-1] = (out[-1][0], event)
        else:
            out.append((event, event))
    return out


def _until(event: Event) -> date | None:
    """The day water left by the hours told; None where nobody told how long it stood."""
    return None if event.hours is None else event.date + timedelta(days=int(event.hours // 24))


def _warmest(facts: FieldFacts, first: date, last: date) -> float | None:
    """The warmest high (°C) known of the days water stood."""
    if facts.sky is None:
        return None
    high = facts.sky.high_c[facts.span(first, last)]
    return float(np.nanmax(high)) if np.any(~np.isnan(high)) else None


def frost(facts: FieldFacts, sown: Sown) -> list[Look]:
    """A low in the mid-30s °F, or a frost told, on corn that may be up: look for new growth 3–5 days after."""
    marked = {e.date: e for e in facts.told("frost", sown.id) if sown.may_be_up(e.date)}
    lows = {day: low for day, low in _cold_nights(facts).items() if sown.up_on(day) or day in marked}
    since = facts.ended_on("frost", sown.id)
    days = sorted(d for d in {*marked, *lows} if d >= max(since, facts.first) and _in_ground(sown, d))
    if not days:
        return []
    at = np.zeros(facts.index(days[-1]) + 1, bool)
    at[[facts.index(d) for d in days]] = True
    spells = [[d for d in days if facts.day(a) <= d <= facts.day(b)] for a, b in runs(at, apart=APART)]
    return [_frost_look(facts, sown, nights, marked, lows) for nights in spells]


def _cold_nights(facts: FieldFacts) -> dict[date, float]:
    """Mornings with a station low (°C) at which leaves in low ground may freeze."""
    if facts.sky is None:
        return {}
    with np.errstate(invalid="ignore"):
        cold = facts.sky.low_c <= facts.rules.frost_air_c + 1e-6
    return {facts.day(k): float(facts.sky.low_c[k]) for k in np.flatnonzero(cold).tolist()}


def _frost_look(
    facts: FieldFacts, sown: Sown, nights: list[date], marked: dict[date, Event], lows: dict[date, float]
) -> Look:
    rules, last = facts.rules, nights[-1]
    told = [marked[d] for d in nights if d in marked]
    coldest = min((d for d in nights if d in lows), key=lambda d: lows[d], default=None)
    # Above freezing at the station only low ground can have frozen: worth a walk where low ground is told, else a
    # look for whoever is there.
    freezing = coldest is not None and lows[coldest] <= 0.0
    window = (last + rules.days("frost_opens"), last + rules.days("frost_closes"), last + rules.days("weather_lapses"))
    why = reason(
        "frost_low", date=coldest if coldest and not told else (told[-1].date if told else last),
        low_c=lows.get(coldest) if coldest else None, told=bool(told), hours=told[-1].hours if told else None,
        low_ground=facts.low_ground, kill=bool(coldest and lows[coldest] <= rules.frost_kill_c),
    )  # fmt: skip
    return make_look(
        facts, "frost", sown, nights[0], window, rule="frost_opens", timed=("frost_air",), why=(why,),
        zone=_zone(told[-1]) if told else None,
        look_for=(reason("low_first", zone=facts.low_ground), reason("new_growth"), reason("growing_point")),
        not_yet=(reason("no_replant_before", date=window[0]),),
        alone=bool(told) or freezing or facts.low_ground is not None,
    )  # fmt: skip


def hail(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Hail told: look 7–10 days after (trade); call the insurer first."""
    return [_after(facts, sown, event, "hail", ("stand_left", "growing_point", "leaf_left"), ("insurer_first",))
            for event in facts.told("hail", sown.id) if sown.may_be_up(event.date)]  # fmt: skip


def wind(facts: FieldFacts, sown: Sown) -> list[Look]:
    """Wind or blowing sand told: look for new growth."""
    return [_after(facts, sown, event, "wind", ("sand_cut", "leaning", "new_growth"), ())
            for event in facts.told("wind", sown.id) if sown.may_be_up(event.date)]  # fmt: skip


def _after(
    facts: FieldFacts, sown: Sown, event: Event, what: str, look_for: tuple[str, ...], can_do: tuple[str, ...]
) -> Look:
    rules, day = facts.rules, event.date
    window = (day + rules.days(f"{what}_opens"), day + rules.days(f"{what}_closes"), day + rules.days("weather_lapses"))
    return make_look(
        facts, what, sown, day, window, rule=f"{what}_opens", zone=_zone(event),
        why=(reason(f"{what}_told", date=day, person=event.person),), look_for=tuple(reason(c) for c in look_for),
        can_do=tuple(reason(c) for c in can_do), not_yet=(reason("no_replant_before", date=window[0]),),
    )  # fmt: skip
