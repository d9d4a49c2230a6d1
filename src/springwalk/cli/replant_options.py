"""Options of the replant command, and how their words become values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from springwalk.cli.talk import day
from springwalk.errors import BadValue

if TYPE_CHECKING:
    from springwalk.jobs.replant_policy import Policy

YEAR = 2001
"""Any year: without a store the tables know a day of the year only."""

FieldOption = Annotated[
    str, typer.Option("--field", metavar="FIELD", help="A field of the store: what is not typed comes from there.")
]
StandsOption = Annotated[
    list[str] | None,
    typer.Option(
        "--stand", metavar="[PART=]PLANTS", help="Plants per acre left; of parts of a field: low=14000, rest=29000."
    ),
]
PartOption = Annotated[str, typer.Option("--part", metavar="ZONE", help="The zone the stand is of; rest outside all.")]
PlantingOption = Annotated[str, typer.Option("--planting", metavar="ID", help="The planting the stand is of.")]
PlantedOption = Annotated[
    str, typer.Option("--planted", metavar="MM-DD", help="When this stand was planted. Not given: as the store tells.")
]
AgainOption = Annotated[
    str, typer.Option("--replant-on", metavar="MM-DD", help="When it would be replanted. Of a field: the earliest day.")
]
ThenOption = Annotated[
    float | None,
    typer.Option("--replant-stand", metavar="PLANTS", help="Plants per acre then. Of a field: by its seeding rate."),
]
YieldOption = Annotated[
    float | None, typer.Option("--yield", metavar="BU", help="Bushels per acre of a full early stand.")
]
PriceOption = Annotated[float | None, typer.Option("--price", metavar="USD", help="Price of a bushel.")]
CostOption = Annotated[float | None, typer.Option("--cost", metavar="USD", help="All that replanting costs per acre.")]
TripOption = Annotated[
    float, typer.Option("--trip", metavar="USD", help="What one trip to the field costs, whatever its acres.")
]
KillOption = Annotated[
    float | None, typer.Option("--kill-days", metavar="DAYS", help="To kill the old stand, once the ground is dry.")
]
LabelOption = Annotated[
    float | None, typer.Option("--label-days", metavar="DAYS", help="From that to planting, by the label in hand.")
]
QueueOption = Annotated[
    float | None, typer.Option("--queue-days", metavar="DAYS", help="Until the planter comes, once it may.")
]
StateOption = Annotated[str, typer.Option("--state", help="The state, whose newest table comes first.")]
PatternOption = Annotated[str, typer.Option("--pattern", help="How plants are missing: even, singles or runs.")]
FullOption = Annotated[
    float | None, typer.Option("--full-stand", metavar="PLANTS", help="Before the loss, for singles and runs.")
]
GapsOption = Annotated[str, typer.Option("--gaps", help="Gaps in an even stand: none, some (1–3 ft), many (4–6 ft).")]
LarvaeOption = Annotated[
    float | None,
    typer.Option(
        "--cut-share-new", metavar="SHARE", help="Of the new stand, cut by larvae still there. Of a field: as believed."
    ),
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
    str,
    typer.Option(
        "--heat-to-frost",
        metavar="GDD,…",
        help="From then to frost, a year each, °F·day. Of a field: past years.",
    ),
]
StayOption = Annotated[bool, typer.Option("--old-plants-stay", help="The old plants are not removed.")]
FromOption = Annotated[
    str | None, typer.Option("--ready-from", metavar="MM-DD", help="The day --wait begins. Not with --field.")
]
WaitOption = Annotated[
    str,
    typer.Option(
        "--wait",
        metavar="D,D,D,D",
        help="Days to dry, to kill the old stand, of the label, for the planter. Not with --field.",
    ),
]
HistoryOption = Annotated[
    float | None, typer.Option("--history", metavar="BU", help="Yield history of the policy, bushels per acre.")
]
CoverageOption = Annotated[float | None, typer.Option("--coverage", metavar="SHARE", help="Its coverage, like 0.8.")]
GuaranteeOption = Annotated[
    float | None, typer.Option("--guarantee", metavar="BU", help="Its guarantee, in place of history × coverage.")
]
ProjectedOption = Annotated[
    float | None, typer.Option("--projected-price", metavar="USD", help="Its projected price of a bushel.")
]
AppraisedOption = Annotated[
    float | None,
    typer.Option("--appraised", metavar="BU", help="What the adjuster found. Not given: by the table."),
]
ShareOption = Annotated[
    float | None, typer.Option("--share", metavar="SHARE", help="The grower's share of the crop. Not given: 1.")
]
TermsOption = Annotated[
    str,
    typer.Option(
        "--terms",
        metavar="S,BU,S",
        help="Its terms: paid below this share of the guarantee; most bushels; most share of the guarantee.",
    ),
]
AreaOption = Annotated[
    str,
    typer.Option(
        "--area-rule", metavar="AC,SHARE,AC", help="Paid from these acres, or this share of the unit; the unit's acres."
    ),
]


def policy_of(
    *, history: float | None, coverage: float | None, guarantee: float | None, price: float | None,
    appraised: float | None, share: float | None, terms: str, area: str,
) -> Policy | None:  # fmt: skip
    """The policy where any of it was typed; raises BadValue where a part without a usual value is missing."""
    from springwalk.jobs.replant_policy import Policy

    usual, acres = numbers(terms, "terms", count=3), numbers(area, "area-rule", count=3)
    told = (history, coverage, guarantee, price, appraised, share)
    if not usual and not acres and all(value is None for value in told):
        return None
    known = dict(zip(("appraised_below", "most_bu_ac", "most_of_guarantee"), usual, strict=False))
    known |= dict(zip(("least_acres", "least_share", "unit_acres"), acres, strict=False))
    return Policy(
        history, coverage, price, 1.0 if share is None else share, guarantee_bu_ac=guarantee,
        appraised_bu_ac=appraised, **known,
    )  # fmt: skip


def stands_of(texts: Sequence[str] | None) -> dict[str, float]:
    """Stands by part, "" for one number alone; raises BadValue for what is no number and a part told twice."""
    found: dict[str, float] = {}
    for text in texts or ():
        name, _, plants = text.rpartition("=")
        try:
            value = float(plants)
        except ValueError:
            rule = "not plants per acre"
            raise BadValue("stand", text, rule, "write it like 18000, or low=14000 for a part") from None
        if name.strip().casefold() in found:
            raise BadValue("stand", text, "this part has a stand already", "give one for each part")
        found[name.strip().casefold()] = value
    return found


def month_day(text: str, name: str, *, year: int = YEAR) -> date:
    """The day 04-25 of a year, or 2016-04-25 with its own year dropped for it. Raises BadValue for anything else."""
    words = text.strip()
    try:
        found = day(f"{year}-{words}" if len(words) == len("04-25") else words, name=name)
        if found is not None:
            return found.replace(year=year)
    except ValueError:
        pass
    raise BadValue(name, repr(text), "not a day of the year", "write it like 04-25")


def numbers(text: str, name: str, *, count: int | None = None) -> tuple[float, ...]:
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


def earliest(ready_from: str | None, wait: str) -> date | None:
    """The first real day to replant; None where no wait was typed. The two options go together."""
    from springwalk.jobs.replant import earliest_date

    if ready_from is None and not wait.strip():
        return None
    if ready_from is None:
        raise BadValue("ready-from", "(not given)", "the days to wait begin on it", "give it, like 05-12")
    dry, kill, label, queue = numbers(wait, "wait", count=4) or (0.0,) * 4
    return earliest_date(month_day(ready_from, "ready-from"), dry=dry, kill=kill, label=label, queue=queue)


def needed(told: Mapping[str, Any]) -> None:
    """Refuse the first option that was not given where no field of a store can tell it."""
    for name, value in told.items():
        if value in (None, "", {}):
            rule = "is needed where no field of the store is named"
            raise BadValue(name, "(not given)", rule, f"type --{name}, or name a field: --field FIELD")


def only_with(told: Mapping[str, Any], *, field: bool) -> None:
    """Refuse the first option given that goes only with ``--field``, or only without it."""
    for name, value in told.items():
        if value not in (None, "", 0.0):
            rule = "goes with --field only" if field else "does not go with --field"
            todo = "name the field too" if field else "type --kill-days, --label-days and --queue-days"
            raise BadValue(name, value, rule, todo)
