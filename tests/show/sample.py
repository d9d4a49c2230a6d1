"""An invented season for the tests of pages, paper and figures: six fields to walk, eight that rest."""

from __future__ import annotations

import math
from datetime import date, timedelta

from springwalk.jobs.results import (
    Capture,
    DateRange,
    FieldPage,
    HeatSince,
    LastWalk,
    Part,
    Range,
    Reason,
    Row,
    Series,
    Sheet,
    StageShares,
    WeatherBasis,
)

TODAY = date(2016, 5, 17)
FLIGHT = date(2016, 4, 12)
START, END = date(2016, 4, 1), date(2016, 6, 20)


def around(mid: date, before: int, after: int) -> DateRange:
    """A median date with its range in days."""
    return DateRange(early=mid - timedelta(before), mid=mid, late=mid + timedelta(after))


def spread(mid: float, width: float = 0.4) -> Range:
    """A middle value with a range of ``width`` on either side."""
    return Range(low=mid * (1 - width), mid=mid, high=mid * (1 + width))


CAPTURE = Capture(
    trap="Elm Bottom",
    night=FLIGHT,
    moths=13,
    rule="nine or more in two nights",
    by_method=(
        HeatSince(method="sine", heat_ddc=147.8, reaches_rule=around(date(2016, 5, 19), 1, 2)),
        HeatSince(method="average", heat_ddc=131.2, reaches_rule=around(date(2016, 5, 22), 2, 3)),
        HeatSince(method="86/50", heat_ddc=158.0, reaches_rule=around(date(2016, 5, 18), 1, 2)),
    ),
)
SHARES = StageShares(
    egg=spread(0.02),
    instars_1_3=spread(0.42),
    instar_4=Range(low=0.24, mid=0.38, high=0.55),
    instar_5=spread(0.14),
    instar_6=spread(0.04),
    pupa=spread(0.0),
    able=Range(low=0.40, mid=0.56, high=0.72),
)
WEATHER = WeatherBasis(
    stations=("Cold Spring 3 E", "Mill Crossing"),
    attribution=("Invented daily data for the tests",),
    observed_to=date(2016, 5, 16),
    members=20,
    members_from="20 past years",
    gaps=(
        Reason(
            code="weather_gap",
            facts={"station": "Mill Crossing", "from": date(2016, 5, 3), "to": date(2016, 5, 5), "days": 3},
        ),
    ),
)


def part(planted: date | None, begins: DateRange | None, cut: Range | None, collars: Range | None) -> Part:
    """The part of a field that decides, with invented numbers."""
    return Part(
        planting="1",
        zone=None,
        area_ha=31.7,
        planted=planted,
        green=((date(2016, 3, 28), "many weeds"), (date(2016, 4, 20), "black")),
        green_told=True,
        egg_load=0.8,
        survival=0.6,
        larvae_per_100=0.5,
        shares=SHARES if begins else None,
        can_cut_10=begins,
        can_cut_half=around(date(2016, 5, 24), 3, 4) if begins else None,
        through_90=around(date(2016, 6, 3), 4, 4) if begins else None,
        cutting_begins=begins,
        begin_instar="instar 4" if begins else None,
        emergence=around(planted + timedelta(9), 2, 2) if planted else None,
        collars=collars,
        collars_basis="from heat since planting" if collars else "",
        cut_next_7_per_100=cut,
        first_look=date(2016, 5, 17),
    )


def row(ident: str, name: str, grower: str, *, ha: float, walk: bool, why: tuple[Reason, ...], **more: object) -> Row:
    """One row; ``more`` replaces fields of the model."""
    plain: dict[str, object] = {
        "field": ident,
        "name": name,
        "grower": grower,
        "area_ha": ha,
        "latitude": 40.8,
        "longitude": -96.9,
        "walk_today": walk,
        "cut_next_7_per_100": None,
        "why": why,
        "look_for": (),
        "come_back": None,
        "first_look": None,
        "captures": (CAPTURE,),
        "last_walk": None,
        "parts": (part(date(2016, 4, 28), around(date(2016, 5, 22), 3, 4), Range(low=1.6, mid=2.1, high=3.0), None),),
    }
    return Row.model_validate({**plain, **more})


def _why(code: str, **facts: object) -> Reason:
    return Reason(code=code, facts=facts)


SEEN = LastWalk(
    walked=date(2016, 5, 15), person="R. Alder", places=100, fresh_cut=3, old_cut=1, leaf_fed=11, larvae=2, collars=3
)
LOOK = (_why("leaf_feeding"), _why("cut_plants"), _why("dig_larvae"))


def walk_rows() -> tuple[Row, ...]:
    """The six fields to walk, in order."""
    begun, soon, later = (
        around(date(2016, 5, 16), 2, 2),
        around(date(2016, 5, 19), 2, 3),
        around(date(2016, 5, 22), 3, 4),
    )
    april = date(2016, 4, 28)
    green = _why("green_at_planting", cover="many weeds", until=date(2016, 4, 28))
    v3, v2 = Range(low=2.4, mid=2.9, high=3.3), Range(low=1.4, mid=1.9, high=2.4)
    common = {"come_back": date(2016, 5, 20), "look_for": LOOK}

    def one(ident: str, name: str, grower: str, ha: float, cut: float, begins: DateRange, *why: Reason, **more: object):  # type: ignore[no-untyped-def]
        stake = spread(cut)
        parts = (part(april, begins, stake, v3 if begins is begun else v2),)
        given = {**common, "cut_next_7_per_100": stake, "parts": parts, **more}
        return row(ident, name, grower, ha=ha, walk=True, why=why, **given)

    return (
        one(
            "elm-bottom", "Elm Bottom", "North Bend Farm", 31.7, 4.1, begun,
            _why("seen_cut", fresh=3, places=100), _why("larvae_seen", n=2), green, _why("cutting_now", instar="4"),
            last_walk=SEEN,
        ),
        one("long-eighty", "Long Eighty", "North Bend Farm", 32.4, 3.2, begun, green, _why("cutting_now", instar="4")),
        one(
            "schoolhouse", "Schoolhouse", "Harrow Hill", 16.2, 2.1, soon,
            _why("green_until", cover="dense", until=date(2016, 4, 24)), _why("cutting_begins", date=soon),
            look_for=(_why("spike"), _why("weeds_vanishing"), _why("leaf_feeding")),
        ),
        one("river-forty", "River Forty", "Harrow Hill", 15.9, 1.6, soon, _why("green_not_told"),
            _why("cutting_begins", date=soon), look_for=(*LOOK, _why("drowned_low"))),
        one("upper-terrace", "Upper Terrace", "Two Creeks", 48.1, 0.9, later,
            _why("green_until", cover="some weeds", until=date(2016, 4, 20)), _why("cutting_begins", date=later)),
        one("pond-quarter", "Pond Quarter", "Two Creeks", 61.0, 0.5, later, _why("no_planting_date"),
            _why("green_at_planting", cover="few weeds", until=None), look_for=(_why("tunnelling"), *LOOK)),
    )  # fmt: skip


def rest_rows() -> tuple[Row, ...]:
    """Eight fields that need no walk today, each for another reason."""
    reasons: tuple[tuple[str, str, Reason, date | None], ...] = (
        ("mill-east", "Mill East", _why("black_before_flight", date=date(2016, 4, 5)), None),
        ("mill-west", "Mill West", _why("late_planted_feeding_over", odds=0.93), None),
        ("hilltop", "Hilltop", _why("killed_early", date=date(2016, 4, 4), days_before_emergence=31), None),
        ("orchard", "Orchard Piece", _why("walked_recently", date=date(2016, 5, 15), days=2), date(2016, 5, 19)),
        ("south-draw", "South Draw", _why("not_yet", first_look=date(2016, 5, 21)), date(2016, 5, 21)),
        ("lane-side", "Lane Side", _why("no_corn_yet", date=around(date(2016, 5, 24), 2, 3)), date(2016, 5, 24)),
        ("gravel", "Gravel Knob", _why("past_v6", collars=Range(low=6.3, mid=6.8, high=7.2)), None),
        ("church", "Church Corner", _why("low_risk", cut=Range(low=0.0, mid=0.04, high=0.1)), date(2016, 5, 23)),
    )
    return tuple(
        row(ident, name, "Oak Lane Farms", ha=20.0 + k, walk=False, why=(why,), first_look=look)
        for k, (ident, name, why, look) in enumerate(reasons)
    )


def sheet() -> Sheet:
    """The whole invented morning sheet of 17 May 2016."""
    return Sheet(
        season="Invented valley 2016",
        year=2016,
        today=TODAY,
        today_given=True,
        rows=walk_rows(),
        rest=rest_rows(),
        notes=(
            _why("caught_so_far", date=date(2016, 5, 16)),
            _why("order_assumption"),
            *WEATHER.gaps,
            _why("catch_not_readable", trap="Ford", since=date(2016, 4, 27), read=date(2016, 5, 3), nights=6),
        ),
        weather=WEATHER,
        heat_method="sine",
        capture_rule="nine or more in two nights",
        engine_version="1",
        settings_hash="0123456789abcdef",
    )


def empty_sheet() -> Sheet:
    """A season with nothing in it yet."""
    weather = WeatherBasis(stations=(), attribution=(), observed_to=None, members=0, members_from="", gaps=())
    return sheet().model_copy(update={"rows": (), "rest": (), "notes": (_why("no_traps"),), "weather": weather})


def _logistic(x: float) -> float:
    return 1 / (1 + math.exp(-x))


def series() -> Series:
    """Smooth daily values of the first field."""
    days = tuple(START + timedelta(k) for k in range((END - START).days + 1))
    caught = {date(2016, 4, d): m for d, m in ((9, 1), (11, 2), (12, 7), (13, 6), (14, 2), (15, 1), (17, 1), (19, 3))}
    caught |= {date(2016, 4, d): m for d, m in ((20, 8), (21, 5), (22, 1), (24, 1), (26, 2), (27, 1), (30, 1))}
    big = {date(2016, 4, 12), date(2016, 4, 13), date(2016, 4, 20), date(2016, 4, 21)}
    ends = {"egg": 25.0, "instars_1_3": 44.0, "instar_4": 49.5, "instar_5": 55.0, "instar_6": 66.0}
    age = [float((d - START).days) for d in days]
    shares: dict[str, tuple[float, ...]] = {}
    left = [1.0 if d > FLIGHT else 0.0 for d in days]
    for key, mid in ends.items():
        passed = [_logistic((a - mid) / (1.6 + mid / 28)) for a in age]
        upto = [lf * (1 - p) for lf, p in zip(left, passed, strict=True)]
        shares[key] = tuple(upto)
        left = [lf - u for lf, u in zip(left, upto, strict=True)]
    shares["pupa"] = tuple(left)
    corn = [max(0.0, min(8.0, 0.3 * (a - 36.5))) for a in age]
    cut = [6.8 * _logistic((a - 55) / 3.5) for a in age]
    return Series(
        days=days,
        moths_per_night=tuple(float(caught.get(d, 0)) for d in days),
        significant=tuple(d in big for d in days),
        shares=shares,
        collars_low=tuple(c * 0.88 for c in corn),
        collars_mid=tuple(corn),
        collars_high=tuple(c * 1.12 for c in corn),
        cut_low=tuple(c * 0.2 for c in cut),
        cut_mid=tuple(cut),
        cut_high=tuple(c * 1.9 for c in cut),
        seen_collars=((date(2016, 5, 15), 3.0),),
        seen_cut=((date(2016, 5, 15), 3.0),),
    )


def field_page(ident: str = "elm-bottom") -> FieldPage:
    """The page of one field; the first has a walk and a figure, fields that rest have no figure."""
    found = next(r for r in (*walk_rows(), *rest_rows()) if r.field == ident)
    return FieldPage(
        sheet_today=TODAY,
        season="Invented valley 2016",
        row=found,
        series=series() if found.walk_today else None,
        walks=(found.last_walk,) if found.last_walk else (),
        events=(_why("event", date=date(2016, 4, 28), what="tilled", cover="black", zone=None, person="R. Alder"),),
        weather=WEATHER,
        heat_method="sine",
        capture_rule="nine or more in two nights",
        sources=(
            ("heat to each stage", "published", "An invented bulletin on stages, 1999"),
            ("one larva per 100 places", "assumption", "No source: set for the order of the list"),
        ),
    )
