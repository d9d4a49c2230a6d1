"""A replant question in plain words: the answer and the insurer first, then dates, tables, larvae, frost, cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n
from springwalk.show.facts import upper_first
from springwalk.tables import number

if TYPE_CHECKING:  # words need the shape of an answer, not what makes it
    from springwalk.jobs.replant_said import PartReplant, Ready, ReplantSaid

USD = "US$ per acre"
PLANTS = "plants per acre"
INSURER_FIRST = "Insurer first: tell the insurer, and wait for the adjuster, before anything is torn up."
CALL_INSURER = (
    "Call the insurer before the stand is destroyed: no terms were typed, so no payment is counted here, and a stand"
    " torn up before it is appraised may not be paid for."
)
CAUTIONS = (
    "Taking out the old stand: the product label is the law. It sets the days until corn may be planted and which"
    " traits survive it; type those days from the label in hand.",
    "The stand tables are of other years and hybrids: walk the field again before it is torn up. The grower, the"
    " insurer and the licensed adviser decide.",
)
NO_LARVAE = {
    "typed": "Larvae: as typed.",
    "treated": "Larvae: not counted, the part was treated; look again at the same flags.",
    "no weather": "Larvae: not counted, no weather reaches the field.",
}
STAND_FROM = {
    "typed": "as typed",
    "seeds": "{emergence} of the seeding rate told for this planting (assumption)",
    "usual": "the best stand of most fields (published)",
}


def replant_lines(said: ReplantSaid) -> tuple[str, ...]:
    """The answer for a field, line by line."""
    answer = f"{said.name}: {headline(said)}"
    lines = [INSURER_FIRST, answer] if said.insurer_first else [answer, CALL_INSURER]
    lines += [*money_lines(said), *_ready(said)]
    for part in said.parts:
        lines += _part(part, named=len(said.parts) > 1)
    if said.not_judged:
        lines.append(f"Not judged, no stand given: {', '.join(said.not_judged)}.")
    lines += [*_frost(said), *_rests_on(said), *CAUTIONS]
    return tuple(dict.fromkeys(lines))


def headline(said: ReplantSaid) -> str:
    """What to do with the field, in one sentence that begins small."""
    on = f"{n.day(said.replant_on)}{'' if _all_typed(said.ready) else ' or later'}"
    unsure = [part.name for part in said.parts if part.advice == "too close to say"]
    if said.what == "whole":
        return f"replant all of it ({n.area(said.replant_ha)}) on {on}{_if_paid(said)}."
    if said.what == "part":
        named = " and ".join(said.replant)
        others = "; leave the others" if len(said.replant) < len(said.parts) else ""
        return f"replant the {n.area(said.replant_ha)} of {named} on {on}{_if_paid(said)}{others}."
    if said.what == "unsure":
        why = "the tables do not agree" if said.old_removed else "what old plants that stay take is not known"
        some = 0 < len(unsure) < len(said.parts)
        named = f"{' and '.join(unsure)} is " if some else ""
        return f"{named}too close to say for {n.day(said.replant_on)}: {why}{'; keep the others' if some else ''}."
    gains = any(part.advice in ("replant", "call the insurer first") for part in said.parts)
    return f"keep it{': what a part would gain does not pay the trip' if gains else ''}."


def _all_typed(ready: Ready) -> bool:
    return None not in (ready.kill_days, ready.label_days, ready.queue_days)


def _if_paid(said: ReplantSaid) -> str:
    """A payment is counted on, so nothing is torn up before the insurer has seen the stand."""
    return ", once the insurer agrees" if said.advice == "call the insurer first" else ""


def money_lines(said: ReplantSaid) -> list[str]:
    """The gain in money with its span over the tables."""
    if said.gain_usd_range is None:
        return ["No table holds all of these parts: see each part."]
    low, high = (n.number(x, "", decimals=0) for x in said.gain_usd_range)
    trip = f", a trip of {n.number(said.trip_usd, 'US$', decimals=0)} paid" if said.trip_usd else ""
    named = [name for name in said.gain_of if name]
    what = " and ".join(named) if named else "all of it"
    paid = "; the insurer's payment is not in it" if said.insurance is not None else ""
    return [f"Gain by replanting {what}: {low} to {high} US$ over the tables{trip}{paid}."]


def _ready(said: ReplantSaid) -> list[str]:
    ready = said.ready
    return [f"{day_words(ready)}. From {n.day(ready.today)}: {'; '.join(ready_pieces(ready))}.", *late_lines(said)]


def day_words(ready: Ready) -> str:
    """The earliest day, called real only where every wait was typed and the ground is known."""
    real = _all_typed(ready) and ready.dry_days is not None
    return f"{'Earliest real day' if real else 'Earliest day by what is known'}: {n.day(ready.on)}"


def ready_pieces(ready: Ready) -> list[str]:
    """What the earliest real day is made of: the ground, and each wait that was typed."""
    waits = _waits(ready)
    return [_dry(ready), *(_wait(days, what) for what, days in waits.items() if days is not None)]


def late_lines(said: ReplantSaid) -> list[str]:
    """Why the real day may be later than the one printed, and that the day asked for can't be."""
    lines = []
    untold = [what for what, days in _waits(said.ready).items() if days is None]
    if untold:
        lines.append(f"Not typed, so no days counted {' or '.join(untold)}: the real day may be later, the"
                     f" sums are for {n.day(said.replant_on)}.")  # fmt: skip
    if said.asked_on is not None and said.asked_on < said.ready.on:
        lines.append(f"Asked for {n.day(said.asked_on)}: not possible by these days; the sums are for the earliest.")
    return lines


def _waits(ready: Ready) -> dict[str, float | None]:
    return {
        "to kill the old stand": ready.kill_days, "by the label before planting": ready.label_days,
        "until the planter comes": ready.queue_days,
    }  # fmt: skip


def _dry(ready: Ready) -> str:
    if ready.dry_days is None:
        return "when the ground is dry is not known (rain is not told)"
    if ready.dry_days == 0:
        return "the ground is dry enough to walk today (model)"
    return f"{n.count(ready.dry_days, 'day')} for the ground to dry if no more rain falls (model)"


def _wait(days: float, what: str) -> str:
    return f"{n.number(days, 'day' if days == 1 else 'days', decimals=0 if days == int(days) else 1)} {what}"


def _part(part: PartReplant, *, named: bool) -> list[str]:
    """One part: what was there, each table, larvae, and what the insurer would pay."""
    at = f"{upper_first(part.name)}, " if named else ""
    lines = [f"{at}{there_words(part)}: {part.advice}.", f"  {new_stand_words(part)}"]
    lines += table_lines(part.found)
    lines.append(f"  {larvae_line(part)}")
    if ripe := ripe_line(part):
        lines.append(f"  {ripe}")
    lines += [f"  {line}" for line in seed_lines(part.found)]
    if part.found["insurance"]:
        lines.append(f"  {insurance_line(part.found['insurance'])}")
    return [*lines, *(f"  {note}" for note in part.found["notes"])]


def there_words(part: PartReplant) -> str:
    """The stand there is: ``27.0 acres, planted 20 April, 14,000 plants per acre left``."""
    there = n.number(part.stand, PLANTS, decimals=0)
    return f"{n.area(part.area_ha)}, planted {n.day(part.planted)}, {there} left"


def new_stand_words(part: PartReplant) -> str:
    """The new stand and where its number is from: ``new stand 29,900 plants per acre, as typed``."""
    emergence = n.share(number("replant", "usual_emergence").value)
    stand_from = STAND_FROM[part.replant_stand_from].format(emergence=emergence)
    return f"new stand {n.number(part.replant_stand, PLANTS, decimals=0)}, {stand_from}"


def larvae_line(part: PartReplant) -> str:
    """What larvae still there would cut in a part with what that rests on, or why they are not counted."""
    larvae = part.larvae
    if larvae is None:
        return NO_LARVAE[part.why_no_larvae]
    new, old = (n.share(x, basis="assumption") for x in (larvae.cut_new, larvae.cut_old))
    seen = f"the walk of {n.day(larvae.walked)}" if larvae.walked else "the flight and other fields, nobody walked it"
    ends = {part.if_few, part.if_many} - {part.advice}
    if_so = f" Were they few: {part.if_few}; many: {part.if_many}." if ends else ""
    return (
        f"Larvae still there, expected to cut {new} of the new plants, {old} of those left (assumption, from {seen};"
        f" in parentheses 8 times in 10). A cut plant counts as lost; no treatment is counted.{if_so}"
    )


def _frost(said: ReplantSaid) -> list[str]:
    return [line for line in (past_frosts(said), frost_not_counted(said)) if line]


def past_frosts(said: ReplantSaid) -> str:
    """Heat of past years from the replanting day to the first killing frost; "" where none is known."""
    frost = said.frost
    if frost is None:
        return ""
    heat = n.estimate(frost.heat_ddf, "°F·day", decimals=0)
    killing = number("replant", "killing_frost")
    cold = n.number(killing.value, killing.unit, basis=killing.mark, decimals=0).with_basis()
    return (
        f"Past years at {frost.station}: {heat} from {n.day(said.replant_on)} to the first {cold}, which"
        f" came on {n.dates(frost.frost)}, in {n.count(frost.years, 'year', words=False)}."
    )


def frost_not_counted(said: ReplantSaid) -> str:
    """Why frost is not counted; "" where it is."""
    if any(part.found["ripe_share"] is not None for part in said.parts):
        return ""
    why = "the hybrid's need is not typed" if said.hybrid_need_ddf is None else "no past year here reaches fall"
    return f"Frost risk is not counted: {why}."


def ripe_line(part: PartReplant) -> str:
    """In how many past years the new hybrid ripens; "" where that is not counted."""
    ripe = part.found["ripe_share"]
    return "" if ripe is None else f"ripe before a killing frost in {n.share(ripe)} of past years"


def _rests_on(said: ReplantSaid) -> list[str]:
    """Money, first table and what every table says of itself."""
    lines = [worked_with(said), *([no_table(said)] if said.no_table else [])]
    return [*lines, "Sources:", *dict.fromkeys(line for part in said.parts for line in source_lines(part.found))]


def no_table(said: ReplantSaid) -> str:
    """That the state has no table of its own."""
    return f"No stand table of {said.no_table} is known here; the first is the one with every cell printed."


def worked_with(said: ReplantSaid) -> str:
    """The yield, the price and the cost of the sums, and which of them nobody told."""
    grain = n.number(said.yield_bu_ac, "bushels an acre", decimals=0)
    usd = n.number(said.price_usd_bu, "US$ a bushel", decimals=2)
    made_up = {"crop": "the yield", "price": "the price"}
    told = " and ".join(made_up[name] for name in said.assumed)
    basis = f" ({told} assumed: type it, or tell it under [money] in season.toml)" if told else ""
    cost = n.number(said.cost_usd_ac, "US$ an acre", decimals=0)
    return f"Worked with {grain} without loss, {usd}, and {cost} to replant{basis}."


def case_lines(result: dict[str, Any]) -> list[str]:
    """The answer for one typed case, line by line."""
    low, high = (n.number(x, "", decimals=0) for x in result["gain_usd_ac_range"])
    lines = [f"{result['advice']}   (gain by replanting {low} to {high} {USD} over the tables)"]
    lines += table_lines(result)
    if result["ripe_share"] is not None:
        lines.append(f"ripe before frost in {n.share(result['ripe_share'])} of the years given")
    lines += seed_lines(result)
    if result["insurance"]:
        lines.append(insurance_line(result["insurance"]))
    return [*lines, *result["notes"], "Sources:", *source_lines(result)]


def table_lines(result: dict[str, Any]) -> list[str]:
    """What each table says, then those that do not hold the case."""
    lines = []
    for row in result["tables"]:
        now, then = (n.number(row[key], "%", decimals=0) for key in ("now_percent", "replant_percent"))
        bu, usd = n.number(row["gain_bu_ac"], "bu", decimals=1), n.number(row["gain_usd_ac"], USD, decimals=0)
        lines.append(f"  {row['name']}: now {now}, replanted {then}, {bu}, {usd}")
    return lines + [f"  {row['name']}: {row['why']}" for row in result["left_out"]]


def source_lines(result: dict[str, Any]) -> list[str]:
    """Basis and source of each table."""
    return [f"  {row['name']}: {row['source']} ({row['basis']})" for row in result["sources"]]


def seed_lines(result: dict[str, Any]) -> list[str]:
    """The advice with the seed free and at full price; none where its price was not given."""
    lines = []
    for name, side in (result["seed"] or {}).items():
        ends = " to ".join(n.number(x, "", decimals=0) for x in side["gain_usd_ac_range"])
        lines.append(f"seed {'free' if name == 'free' else 'at full price'}: {side['advice']} ({ends} {USD})")
    return lines


def insurance_line(found: dict[str, Any]) -> str:
    """What the policy would pay, and what the stand is appraised at."""
    appraised, below = (n.number(found[key], "bu", decimals=1) for key in ("appraised_bu_ac", "pays_below_bu_ac"))
    if not found["pays"]:
        return f"insurance: no payment, appraised at {appraised}, paid below {below}"
    paid = n.number(found["payment_usd_ac"], USD, decimals=2)
    return f"insurance: {paid}, appraised at {appraised}, paid below {below}"
