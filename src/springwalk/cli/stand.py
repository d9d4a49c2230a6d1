"""Commands on a stand alone, no store needed: stand, replant."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from springwalk.cli.talk import JsonOption, day, say, say_json
from springwalk.errors import BadValue

if TYPE_CHECKING:
    from springwalk.jobs.replant_policy import Policy

_YEAR = 2001  # the tables know a day of the year only
_USD = "US$ per acre"


def stand(
    row_width: Annotated[str, typer.Option("--row-width", metavar="WIDTH", help="Between rows, like 30in or 0.76m.")],
    counts: Annotated[str, typer.Option("--counts", metavar="N,N,…", help="Plants of each count; halves may be.")],
    length: Annotated[
        str | None,
        typer.Option("--length", metavar="LENGTH", help="Row counted each time, like 17ft5in. Not given: 1/1000 acre."),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Plants per acre from stand counts, and how many more counts it takes.

    A length without a unit is in inches. The range is 80 % of what the counts allow; more counts
    bring the mean within 5 % at 95 %.

    \b
    Examples:
      springwalk stand --row-width 30in --counts 29,31,28,33,30
      springwalk stand --row-width 30in --counts 29,31,28,33,30 --length 17ft5in --json
      springwalk stand --row-width 0.75m --counts 81,77 --length 13.333m
    """
    from springwalk.jobs.stand_count import plants_of, row_m, stand_count

    result = stand_count(
        row_width_m=row_m(row_width, name="row-width"),
        counts=plants_of(counts),
        length_m=None if length is None else row_m(length, name="length"),
    )
    if json:
        say_json(result)
    else:
        say("\n".join(_stand_words(result)))


PlantedOption = Annotated[str, typer.Option("--planted", metavar="MM-DD", help="When this stand was planted.")]
LeftOption = Annotated[float, typer.Option("--stand", metavar="PLANTS", help="Plants per acre left.")]
AgainOption = Annotated[str, typer.Option("--replant-on", metavar="MM-DD", help="When it would be replanted.")]
ThenOption = Annotated[float, typer.Option("--replant-stand", metavar="PLANTS", help="Plants per acre then.")]
YieldOption = Annotated[float, typer.Option("--yield", metavar="BU", help="Bushels per acre of a full early stand.")]
PriceOption = Annotated[float, typer.Option("--price", metavar="USD", help="Price of a bushel.")]
CostOption = Annotated[float, typer.Option("--cost", metavar="USD", help="All that replanting costs per acre.")]
StateOption = Annotated[str, typer.Option("--state", help="The state, whose newest table comes first.")]
PatternOption = Annotated[str, typer.Option("--pattern", help="How plants are missing: even, singles or runs.")]
FullOption = Annotated[
    float | None, typer.Option("--full-stand", metavar="PLANTS", help="Before the loss, for singles and runs.")
]
GapsOption = Annotated[str, typer.Option("--gaps", help="Gaps in an even stand: none, some (1–3 ft), many (4–6 ft).")]
LarvaeOption = Annotated[
    float, typer.Option("--cut-share-new", metavar="SHARE", help="Of the new stand, cut by larvae still there.")
]
SeedOption = Annotated[float, typer.Option("--seed", metavar="USD", help="Seed's part of the cost at full price.")]
PaidOption = Annotated[float, typer.Option("--seed-paid", metavar="SHARE", help="Share of the seed's price paid.")]
DryingOption = Annotated[
    float, typer.Option("--drying", metavar="USD", help="Drying, a bushel and point of water; 0: not counted.")
]
NeedOption = Annotated[
    float | None, typer.Option("--hybrid-need", metavar="GDD", help="Of the new hybrid, planted by 1 May, °F·day.")
]
RatedOption = Annotated[bool, typer.Option("--rated-from-emergence", help="That rating counts from emergence.")]
FrostOption = Annotated[
    str, typer.Option("--heat-to-frost", metavar="GDD,…", help="From replanting to frost, a year each, °F·day.")
]
StayOption = Annotated[bool, typer.Option("--old-plants-stay", help="The old plants are not removed.")]
FromOption = Annotated[str | None, typer.Option("--ready-from", metavar="MM-DD", help="The day --wait begins.")]
WaitOption = Annotated[
    str,
    typer.Option(
        "--wait", metavar="D,D,D,D", help="Days to dry, to kill the old stand, of the label, for the planter."
    ),
]
HistoryOption = Annotated[
    float | None, typer.Option("--history", metavar="BU", help="Yield history of the policy, bushels per acre.")
]
CoverageOption = Annotated[float | None, typer.Option("--coverage", metavar="SHARE", help="Its coverage, like 0.8.")]
ProjectedOption = Annotated[
    float | None, typer.Option("--projected-price", metavar="USD", help="Its projected price of a bushel.")
]
ShareOption = Annotated[float, typer.Option("--share", metavar="SHARE", help="The grower's share of the crop.")]
TermsOption = Annotated[
    str,
    typer.Option(
        "--terms",
        metavar="S,BU,S",
        help="Its terms: paid below this share of the guarantee; most bushels; most share of the guarantee.",
    ),
]


def replant(
    planted: PlantedOption,
    stand: LeftOption,
    replant_on: AgainOption,
    replant_stand: ThenOption,
    yield_: YieldOption,
    price: PriceOption,
    cost: CostOption,
    state: StateOption = "",
    pattern: PatternOption = "even",
    full_stand: FullOption = None,
    gaps: GapsOption = "none",
    cut_share_new: LarvaeOption = 0.0,
    seed: SeedOption = 0.0,
    seed_paid: PaidOption = 1.0,
    drying: DryingOption = 0.0,
    hybrid_need: NeedOption = None,
    from_emergence: RatedOption = False,
    heat_to_frost: FrostOption = "",
    old_plants_stay: StayOption = False,
    ready_from: FromOption = None,
    wait: WaitOption = "",
    history: HistoryOption = None,
    coverage: CoverageOption = None,
    projected_price: ProjectedOption = None,
    share: ShareOption = 1.0,
    terms: TermsOption = "",
    json: JsonOption = False,
) -> None:
    """Keep the stand or replant it: the gain in money under each named table.

    Cost holds the seed at full price. Terms of a policy are typed in from it; where --terms is not
    given they are the usual ones of old texts. The insurer and the grower decide.

    \b
    Examples:
      springwalk replant --planted 04-25 --stand 18000 --replant-on 05-20 --replant-stand 30000 \\
        --yield 180 --price 4.5 --cost 60
      springwalk replant --planted 04-25 --stand 10000 --replant-on 05-20 --replant-stand 30000 \\
        --yield 180 --price 4.5 --cost 60 --history 180 --coverage 0.8 --projected-price 4.66 --json
    """
    from springwalk.jobs.replant import Case, replant as job
    from springwalk.jobs.stand_tables import pattern_of

    case = Case(
        planted=_month_day(planted, "planted"),
        stand=stand,
        replant_on=_month_day(replant_on, "replant-on"),
        replant_stand=replant_stand,
        yield_bu_ac=yield_,
        price_usd_bu=price,
        cost_usd_ac=cost,
        state=state,
        pattern=pattern_of(pattern),
        full_stand=full_stand,
        gaps=gaps,
        cut_share_new=cut_share_new,
        seed_usd_ac=seed,
        seed_share_paid=seed_paid,
        drying_usd_point_bu=drying,
        hybrid_need=hybrid_need,
        rated_from_emergence=from_emergence,
        heat_to_frost=_numbers(heat_to_frost, "heat-to-frost"),
        old_removed=not old_plants_stay,
        earliest=_earliest(ready_from, wait),
    )
    result = job(case, _policy(history, coverage, projected_price, share, terms))
    if json:
        say_json(result)
    else:
        say("\n".join(_replant_words(result)))


def _earliest(ready_from: str | None, wait: str) -> date | None:
    """The first real day to replant; None where no wait was typed. The two options go together."""
    from springwalk.jobs.replant import earliest_date

    if ready_from is None and not wait.strip():
        return None
    if ready_from is None:
        raise BadValue("ready-from", "(not given)", "the days to wait begin on it", "give it, like 05-12")
    dry, kill, label, queue = _numbers(wait, "wait", count=4) or (0.0,) * 4
    return earliest_date(_month_day(ready_from, "ready-from"), dry=dry, kill=kill, label=label, queue=queue)


def _policy(
    history: float | None, coverage: float | None, price: float | None, share: float, typed: str
) -> Policy | None:
    """The policy where any of it was typed; raises BadValue where a part without a usual value is missing."""
    from springwalk.jobs.replant_policy import Policy

    needed = {"history": history, "coverage": coverage, "projected-price": price}
    terms = _numbers(typed, "terms", count=3)
    if not terms and all(value is None for value in needed.values()):
        return None
    if history is None or coverage is None or price is None:
        name = next(name for name, value in needed.items() if value is None)
        raise BadValue(name, "(not given)", "a policy's payment is worked from it", "type it from the policy")
    return Policy(history, coverage, price, share, *terms)


def _stand_words(result: dict[str, Any]) -> list[str]:
    from springwalk.jobs.results import Range
    from springwalk.show import numbers as n

    low, high = result["interval_80"]
    acre = n.estimate(Range(low=low, mid=result["plants_per_acre"], high=high), "plants per acre", decimals=0)
    more = result["more_counts_for_5_percent"]
    said = f"{n.count(more, 'more count')} for a mean within 5 %" if more else "enough counts for a mean within 5 %"
    return [str(acre), str(n.number(result["plants_per_ha"], "plants per ha", decimals=0)), said]


def _replant_words(result: dict[str, Any]) -> list[str]:
    from springwalk.show import numbers as n

    low, high = (n.number(x, "", decimals=0) for x in result["gain_usd_ac_range"])
    lines = [f"{result['advice']}   (gain by replanting {low} to {high} {_USD} over the tables)"]
    for row in result["tables"]:
        now, then = (n.number(row[key], "%", decimals=0) for key in ("now_percent", "replant_percent"))
        bu, usd = n.number(row["gain_bu_ac"], "bu", decimals=1), n.number(row["gain_usd_ac"], _USD, decimals=0)
        lines.append(f"  {row['name']}: now {now}, replanted {then}, {bu}, {usd}")
    lines += [f"  {row['name']}: {row['why']}" for row in result["left_out"]]
    if result["ripe_share"] is not None:
        lines.append(f"ripe before frost in {n.share(result['ripe_share'])} of the years given")
    for name, side in (result["seed"] or {}).items():
        ends = " to ".join(n.number(x, "", decimals=0) for x in side["gain_usd_ac_range"])
        lines.append(f"seed {'free' if name == 'free' else 'at full price'}: {side['advice']} ({ends} {_USD})")
    if result["insurance"]:
        lines.append(_insurance_words(result["insurance"]))
    sources = [f"  {row['name']}: {row['source']} ({row['basis']})" for row in result["sources"]]
    return [*lines, *result["notes"], "Sources:", *sources]


def _insurance_words(found: dict[str, Any]) -> str:
    from springwalk.show import numbers as n

    appraised, below = (n.number(found[key], "bu", decimals=1) for key in ("appraised_bu_ac", "pays_below_bu_ac"))
    if not found["pays"]:
        return f"insurance: no payment, appraised at {appraised}, paid below {below}"
    paid = n.number(found["payment_usd_ac"], _USD, decimals=2)
    return f"insurance: {paid}, appraised at {appraised}, paid below {below}"


def _month_day(text: str, name: str) -> date:
    """The day of the year of 04-25 or 2016-04-25; the year is dropped. Raises BadValue for anything else."""
    words = text.strip()
    try:
        found = day(f"{_YEAR}-{words}" if len(words) == len("04-25") else words, name=name)
        if found is not None:
            return found.replace(year=_YEAR)
    except ValueError:
        pass
    raise BadValue(name, repr(text), "not a day of the year", "write it like 04-25")


def _numbers(text: str, name: str, *, count: int | None = None) -> tuple[float, ...]:
    """Numbers with commas between, as many as ``count`` where it is given; none for a blank."""
    parts = text.split(",") if text.strip() else []
    asked = "numbers with commas between" if count is None else f"{count} numbers with commas between"
    try:
        found = tuple(float(part) for part in parts)
    except ValueError:
        raise BadValue(name, text, f"not {asked}", "write them like 1,2.5,3") from None
    if parts and count not in (None, len(parts)):
        raise BadValue(name, text, f"not {asked}", "give each, 0 where there is nothing")
    return found


def add_to(app: typer.Typer) -> None:
    """Add this file's commands to the program."""
    app.command("stand")(stand)
    app.command("replant")(replant)
