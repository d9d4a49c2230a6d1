"""An invented spring morning without a moth: looks of every state, a field kept out, one too wet, others that rest."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from springwalk.jobs.results import FieldPage, KeepOut, Look, Range, Reason, Row, Seedbed, Sheet
from tests.show import sample
from tests.show.sample import around

TODAY = date(2016, 5, 8)


def why(code: str, /, **facts: object) -> Reason:
    """A reason with its facts."""
    return Reason(code=code, facts=facts)


def look(code: str, field: str, opens: int, closes: int, **more: object) -> Look:
    """A look that opens and closes on days of May; its state is worked from today."""
    first, last = date(2016, 5, opens), date(2016, 5, closes)
    state = "coming" if first > TODAY else "overdue" if last < TODAY else "last day" if first < last == TODAY else "due"
    plain: dict[str, object] = {
        "key": f"{code}:{field}:1:2016-04-28", "code": code, "planting": f"{field}/1", "zone": None, "opens": first,
        "closes": last, "lapses": last + timedelta(10), "state": state, "why": (), "mark": "trade",
        "source": "common practice",
    }  # fmt: skip
    return Look.model_validate({**plain, **more})


COLD = why(
    "cold_rain", rain_mm=33.0, rained=date(2016, 4, 29), planted=date(2016, 4, 28), mean_c=7.0, next_mean_c=5.0,
    soil_c=Range(low=6.5, mid=8.0, high=9.5),
)  # fmt: skip


def dig_cold(field: str) -> Look:
    """Cold-soaked seed, on its last day."""
    heat = around(date(2016, 5, 8), 2, 1)
    return look(
        "dig_cold", field, 6, 8, closed_by="done", when=heat,
        why=(COLD, why("seed_heat", date=heat, low_f=90, high_f=100), why("lot_weak", lot="L7", cold_pct=71.0)),
        look_for=(why("ten_seeds"), why("corkscrew")), can_do=(why("ask_seed"),),
        not_yet=(why("no_replant_until_spike", date=around(date(2016, 5, 12), 2, 2)),),
    )  # fmt: skip


def stand(field: str, opens: int, closes: int, **more: object) -> Look:
    """A stand count."""
    up = around(date(2016, 5, opens) - timedelta(5), 1, 2)
    return look(
        "stand_count", field, opens, closes, when=up, why=(why("emerged", date=up, seen=False),),
        look_for=(why("count_stand"), why("late_plants")), not_yet=(why("no_replant_on_one_count"),), **more,
    )  # fmt: skip


def treated(field: str) -> Look:
    """A treatment to check, two days late."""
    facts = {
        "date": date(2016, 5, 2),
        "what": "insecticide",
        "product": "Sample 1 EC",
        "opens": datetime.fromisoformat("2016-05-03T14:00"),
    }
    return look(
        "recheck", field, 4, 6, why=(why("treated", **facts),),
        look_for=(why("same_flags_again"), why("untreated_strip", where="north end rows")),
        can_do=(why("retreat_by_label"),),
    )  # fmt: skip


def crust(field: str) -> Look:
    """A crust to dig under."""
    return look(
        "crust", field, 7, 9, closed_by="done",
        why=(
            why("hard_rain", rain_mm=31.0, date=date(2016, 5, 5), hard=None),
            why("spike_expected", date=around(date(2016, 5, 11), 2, 2), planted=date(2016, 4, 29)),
        ),
        look_for=(why("ten_in_row"), why("leafed_under")), can_do=(why("hoe_or_water", until=date(2016, 5, 9)),),
    )  # fmt: skip


PEST = why(
    "watch_pest", pest="wireworm", name="wireworm", where="where grass was", unit="bait stations", looks=12,
    act="one wireworm a station", rescue="no",
)  # fmt: skip
BED = Seedbed(
    soil_c=Range(low=9.0, mid=10.5, high=12.0), drained_mm=Range(low=2.0, mid=4.0, high=6.0), holds_mm=22.0,
    rain_known=True,
)  # fmt: skip


def _row(ident: str, name: str, grower: str, *looks: Look, walk: bool = True, **more: object) -> Row:
    reasons = more.pop("why", (why("no_flight"),))
    part = sample.part(date(2016, 4, 28), None, None, None)
    parts = (part.model_copy(update={"planting": f"{ident}/1", "seedbed": BED}),)
    given = {"looks": looks, "captures": (), "parts": parts, **more}
    return sample.row(ident, name, grower, ha=32.4, walk=walk, why=reasons, **given)  # type: ignore[arg-type]


def rows() -> tuple[Row, ...]:
    """Five fields to walk."""
    return (
        _row("elm-bottom", "Elm Bottom", "North Bend Farm", treated("elm-bottom"), stand("elm-bottom", 7, 10),
             also=(PEST,)),
        _row("north-eighty", "North Eighty", "Harrow Hill", dig_cold("north-eighty"), come_back=date(2016, 5, 12)),
        _row("schoolhouse", "Schoolhouse", "Harrow Hill", stand("schoolhouse", 7, 9)),
        _row("river-forty", "River Forty", "Two Creeks", stand("river-forty", 8, 10)),
        _row("long-eighty", "Long Eighty", "Two Creeks", crust("long-eighty")),
    )  # fmt: skip


def rest() -> tuple[Row, ...]:
    """One field under each heading, and two that are looked at later."""
    lock = KeepOut(
        what="insecticide",
        product="Sample 1 EC",
        on=date(2016, 5, 7),
        opens=datetime.fromisoformat("2016-05-09T06:30"),
        told_time=True,
    )
    wet = why("too_wet", rain_mm=28.0, date=date(2016, 5, 7), until=date(2016, 5, 10))
    coming = stand("south-draw", 12, 14)
    said = why("next_look", code="stand_count", date=coming.opens, closes=coming.closes, estimate=coming.when)
    return (
        _row("mill-east", "Mill East", "Oak Lane", stand("mill-east", 7, 9), walk=False, keep_out=lock),
        _row("pond-quarter", "Pond Quarter", "Oak Lane", stand("pond-quarter", 6, 8), walk=False, too_wet=wet),
        _row("hilltop", "Hilltop", "Oak Lane", walk=False, why=(why("no_planting_date"),), cannot_say=True),
        _row("south-draw", "South Draw", "Oak Lane", coming, walk=False, why=(why("no_flight"), said),
             come_back=date(2016, 5, 12)),
        _row("lane-side", "Lane Side", "Oak Lane", stand("lane-side", 10, 12), walk=False),
        _row("gravel", "Gravel Knob", "Oak Lane", walk=False, why=(why("no_flight"), why("nothing_left"))),
    )  # fmt: skip


def sheet() -> Sheet:
    """The whole morning of 8 May 2016."""
    return sample.sheet().model_copy(
        update={
            "today": TODAY,
            "rows": rows(),
            "rest": rest(),
            "notes": (why("order_assumption"), why("no_traps"), why("rain_unknown")),
        }
    )


def field_page(ident: str = "north-eighty") -> FieldPage:
    """The page of one field of that morning."""
    found = next(row for row in (*rows(), *rest()) if row.field == ident)
    return sample.field_page("hilltop").model_copy(
        update={
            "sheet_today": TODAY,
            "row": found,
            "events": (
                why(
                    "pass_told",
                    date=date(2016, 4, 20),
                    what="herbicide",
                    product="",
                    entry_hours=12.0,
                    person="R. Alder",
                ),
                why("lot_told", lot="L7", hybrid="H 108", trait="", treatment="", cold_pct=71.0, warm_pct=96.0),
            ),
        }
    )
