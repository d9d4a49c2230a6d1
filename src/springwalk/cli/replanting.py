"""Commands on a replant: replant, to be asked before it, and replanted, to tell it after."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING, Annotated, Any

import typer

from springwalk.cli import replant_options as o
from springwalk.cli.entries import NoteOption, PersonOption, ZoneOption, tell_receipt
from springwalk.cli.talk import FieldArgument, JsonOption, StoreOption, TodayOption, day, opened_store, say, say_json

if TYPE_CHECKING:
    from springwalk.jobs.replant_policy import Policy


def replant(
    field: o.FieldOption = "", stand: o.StandsOption = None, part: o.PartOption = "",
    planting: o.PlantingOption = "", planted: o.PlantedOption = "", replant_on: o.AgainOption = "",
    replant_stand: o.ThenOption = None, yield_: o.YieldOption = None, price: o.PriceOption = None,
    cost: o.CostOption = None, trip: o.TripOption = 0.0, kill_days: o.KillOption = None,
    label_days: o.LabelOption = None, queue_days: o.QueueOption = None, state: o.StateOption = "",
    pattern: o.PatternOption = "even", full_stand: o.FullOption = None, gaps: o.GapsOption = "none",
    cut_share_new: o.LarvaeOption = None, seed: o.SeedOption = 0.0, seed_paid: o.PaidOption = 1.0,
    drying: o.DryingOption = 0.0, hybrid_need: o.NeedOption = None, from_emergence: o.RatedOption = False,
    heat_to_frost: o.FrostOption = "", old_plants_stay: o.StayOption = False, ready_from: o.FromOption = None,
    wait: o.WaitOption = "", history: o.HistoryOption = None, coverage: o.CoverageOption = None,
    guarantee: o.GuaranteeOption = None, projected_price: o.ProjectedOption = None,
    appraised: o.AppraisedOption = None, share: o.ShareOption = None, terms: o.TermsOption = "",
    area_rule: o.AreaOption = "", store: StoreOption = None, today: TodayOption = None, json: JsonOption = False,
) -> None:  # fmt: skip
    """Keep the stand or replant it: the gain in money under each named table.

    With --field the planting date, acres, state, yield and price, the first day the ground is dry, past years' heat to
    frost and the larvae still there come from the store; each part with a stand is judged by itself. Without it all is
    typed. Cost holds the seed at full price. Terms of a policy are typed in from it; where --terms is not given they
    are the usual ones of old texts. The insurer and the grower decide; the label rules.

    \b
    Examples:
      springwalk replant --field north-eighty --stand 18000 --cost 60 --kill-days 1 --label-days 6
      springwalk replant --field lark-low --stand low=14000 --stand upland=29000 --cost 60 --trip 150
      springwalk replant --planted 04-25 --stand 18000 --replant-on 05-20 --replant-stand 30000 \\
        --yield 180 --price 4.5 --cost 60
      springwalk replant --planted 04-25 --stand 10000 --replant-on 05-20 --replant-stand 30000 \\
        --yield 180 --price 4.5 --cost 60 --history 180 --coverage 0.8 --projected-price 4.66 --json
    """
    from springwalk.jobs.stand_tables import pattern_of

    policy = o.policy_of(
        history=history, coverage=coverage, guarantee=guarantee, price=projected_price, appraised=appraised,
        share=share, terms=terms, area=area_rule,
    )  # fmt: skip
    also: dict[str, Any] = {
        "pattern": pattern_of(pattern), "full_stand": full_stand, "gaps": gaps, "seed_usd_ac": seed,
        "seed_share_paid": seed_paid, "drying_usd_point_bu": drying, "rated_from_emergence": from_emergence,
        "old_removed": not old_plants_stay,
    }  # fmt: skip
    told: dict[str, Any] = {
        "stands": o.stands_of(stand), "replant_stand": replant_stand, "yield_bu_ac": yield_, "price_usd_bu": price,
        "cost_usd_ac": cost, "state": state, "cut_share_new": cut_share_new, "hybrid_need": hybrid_need,
        "heat_to_frost": o.numbers(heat_to_frost, "heat-to-frost"), "also": also,
    }  # fmt: skip
    waits = {"trip": trip, "kill-days": kill_days, "label-days": label_days, "queue-days": queue_days}
    if field.strip():
        o.only_with({"ready-from": ready_from, "wait": wait}, field=False)
        told |= {"part": part, "planting": planting, **{k.replace("-", "_"): v for k, v in waits.items()}}
        told["trip_usd"] = told.pop("trip")
        _of_field(field, told, (planted, replant_on), policy, store, today, json)
    else:
        asked = {"part": part, "planting": planting, "store": store, "today": today, "area-rule": area_rule}
        o.only_with({**asked, **waits}, field=True)
        _typed(told, (planted, replant_on), o.earliest(ready_from, wait), policy, json)


def _of_field(
    field: str, told: dict[str, Any], days: tuple[str, str], policy: Policy | None, store: str | None,
    today: str | None, json: bool,
) -> None:  # fmt: skip
    """Answer for a field of the store."""
    from springwalk.jobs.replant_field import Asked, replant_field
    from springwalk.jobs.snapshot import season_of

    with opened_store(store) as opened:
        year = season_of(opened).year
        planted, again = (
            o.month_day(text, name, year=year) if text.strip() else None
            for text, name in zip(days, ("planted", "replant-on"), strict=True)
        )
        asked = Asked(**told, planted=planted, replant_on=again)
        found = replant_field(opened, field, asked, policy, today=day(today))
    if json:
        say_json(found.model_dump(mode="json"))
        return
    from springwalk.show.replant_words import replant_lines

    say("\n".join(replant_lines(found)))


def _typed(
    told: dict[str, Any], days: tuple[str, str], earliest: datetime.date | None, policy: Policy | None, json: bool
) -> None:
    """Answer for one case that was typed whole."""
    from springwalk.jobs.replant import Case, replant as job

    stands, also, share = (told.pop(name) for name in ("stands", "also", "cut_share_new"))
    o.needed(
        {
            "planted": days[0], "stand": stands, "replant-on": days[1], "replant-stand": told["replant_stand"],
            "yield": told["yield_bu_ac"], "price": told["price_usd_bu"], "cost": told["cost_usd_ac"],
        }
    )  # fmt: skip
    o.only_with({"stand": next((f"{name}={plants:g}" for name, plants in stands.items() if name), None)}, field=True)
    planted, again = (o.month_day(text, name) for text, name in zip(days, ("planted", "replant-on"), strict=True))
    case = Case(planted=planted, replant_on=again, stand=stands[""], cut_share_new=share or 0.0, earliest=earliest,
                **told, **also)  # fmt: skip
    result = job(case, policy)
    if json:
        say_json(result)
        return
    from springwalk.show.replant_words import case_lines

    say("\n".join(case_lines(result)))


def replanted(
    field: FieldArgument,
    date: Annotated[
        str | None, typer.Option("--date", metavar="DATE", help="The day it was replanted. Not given: today.")
    ] = None,
    torn_up: Annotated[
        str | None,
        typer.Option("--torn-up", metavar="DATE", help="The day the old stand was taken out. Not given: that day."),
    ] = None,
    interplanted: Annotated[bool, typer.Option("--interplanted", help="The old plants stay.")] = False,
    zone: ZoneOption = "",
    planting: Annotated[
        str, typer.Option("--planting", metavar="ID", help="The planting that was replanted. Not given: all of them.")
    ] = "",
    rate: Annotated[str, typer.Option("--rate", metavar="SEEDS", help="Seeds per acre, or 79000/ha.")] = "",
    hybrid: Annotated[str, typer.Option("--hybrid", metavar="NAME", help="What was planted.")] = "",
    person: PersonOption = "",
    note: NoteOption = "",
    store: StoreOption = None,
    today: TodayOption = None,
    json: JsonOption = False,
) -> None:
    """Tell that a field or a part of it was replanted.

    The old stand is told torn up and the new planting is kept, in one action with one undo; the sheet then
    follows the new corn. The same told twice changes nothing.

    \b
    Examples:
      springwalk replanted north-eighty --date 2016-05-24 --rate 32000 --hybrid AF-101
      springwalk replanted lark-low --zone low --torn-up 2016-05-22 --date 2016-05-24
    """
    from springwalk.errors import BadValue
    from springwalk.jobs.enter import look_after
    from springwalk.jobs.replanted import Replant, rate as per_ha, replanted as job
    from springwalk.jobs.sheet import local_date
    from springwalk.jobs.snapshot import season_of
    from springwalk.show.entry_words import receipt

    if interplanted and torn_up is not None:
        raise BadValue("torn-up", torn_up, "the old plants stay (--interplanted)", "leave one of the two out")
    asked, on, out = day(today), day(date, name="date"), day(torn_up, name="torn-up")
    with opened_store(store) as opened:
        now = asked or local_date(season_of(opened))
        told = Replant(
            field=field, on=on or now, torn_up=None if interplanted else out or on or now, zone=zone,
            planting=planting, seeds_per_ha=per_ha(rate), hybrid=hybrid, person=person, note=note,
        )  # fmt: skip
        entered = job(opened, told, today=now)
        words = receipt(entered, look_after(opened, entered, today=asked))
    tell_receipt(entered, words, json, store)


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    app.command("replant")(replant)
    app.command("replanted")(replanted)
