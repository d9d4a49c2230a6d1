"""Three lines for the grower, to be sent from the row: what to do, why, and what comes with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from springwalk.show import numbers as n
from springwalk.show.advice_part_words import SAYS, TREATS, answer, money
from springwalk.show.advice_words import ORDER
from springwalk.show.facts import odds, upper_first
from springwalk.units import MM_PER_IN

if TYPE_CHECKING:  # words need the shape of advice, not what makes it
    from collections.abc import Sequence

    from springwalk.jobs.advised import FieldAdvice, OptionSaid, PartAdvice

CAUTION = (
    "Before anyone sprays: the product label is the law, local rules come first, and you and your licensed adviser"
    " decide."
)
NOT_YET = "Nothing is sprayed on this yet; before anyone does, the label and your licensed adviser come first."
NOTHING = "Nothing to do now. Call me if you see plants freshly cut."
INSECT, OTHER = "Black cutworm", "A cutworm, perhaps not of this flight"
_WITHHELD = ("no live larvae", "nothing fresh")
"""Reasons that hold a treatment back whatever its odds."""


def grower_text(field: FieldAdvice) -> str:
    """The advice in three lines of plain words: what to do, what was seen and is at stake, label and adviser.

    The first has the acres and the odds of a treatment, and what the state's printed rule says where that differs.
    """
    part = _pressing(field)
    first = f"{field.name}, {n.day(field.today)}: {_answer(field)}{_state_rule(field)}"
    return "\n".join((first, _why(part), _last(part)))


def part_answers(field: FieldAdvice) -> tuple[str, ...]:
    """The advice of each part in a sentence, with its name where the field has several."""
    named = len(field.parts) > 1
    return tuple(
        f"{upper_first(part.name or 'the rest')}: {answer(part)}" if named else upper_first(answer(part))
        for part in field.parts
    )


def _pressing(field: FieldAdvice) -> PartAdvice:
    """The part that asks for most; of such parts the one with most plants cut."""
    return min(field.parts, key=lambda part: (ORDER.index(part.verdict), -part.percent_cut))


def _answer(field: FieldAdvice) -> str:
    part = _pressing(field)
    alike = [one for one in field.parts if (one.verdict, one.on) == (part.verdict, part.on)]
    if len(alike) == len(field.parts):
        if part.verdict in TREATS:
            return f"{answer(part).removesuffix('.')}, {_acres(alike)}{_odds(alike)}."
        return f"{answer(part).removesuffix('.')}{_odds(alike)}."
    if part.verdict not in TREATS:
        return f"in {_named(alike)}, {answer(part).removesuffix('.')}{_odds(alike)}."
    treated = [one for one in field.parts if one.verdict in TREATS]
    said = [f"{_name(one)} ({_acres([one])}): {answer(one).removesuffix('.')}{_odds([one])}" for one in treated]
    only = "" if len(treated) == len(field.parts) else " Nothing on the other parts now."
    return f"{'; '.join(said)}.{only}"


def _name(part: PartAdvice) -> str:
    return part.name or "the rest"


def _named(parts: Sequence[PartAdvice]) -> str:
    return " and ".join(_name(one) for one in parts)


def _acres(parts: Sequence[PartAdvice]) -> str:
    return n.area(sum(one.area_ha for one in parts))


def _odds(parts: Sequence[PartAdvice]) -> str:
    """`` (best in 97 of 100 cases by our reckoning)``: the least of the parts; "" where an answer rests on no odds."""
    if any(code in part.reasons for part in parts for code in _WITHHELD):
        return ""
    found = [one.odds_best for part in parts for one in part.options if (one.kind, one.on) == (part.verdict, part.on)]
    known = [value for value in found if value is not None]
    if len(known) < len(parts):
        return ""
    told = [odds(value).replace(" chances in ", " of ") for value in (min(known), max(known))]
    least = "at least " if told[0] != told[1] else ""
    return f" (best in {least}{told[0]} cases by our reckoning)"


def _state_rule(field: FieldAdvice) -> str:
    """What the state's printed rule says where it differs from the advice, by part where they differ; else ""."""
    said: dict[str, list[PartAdvice]] = {}
    for part in field.parts:
        if part.rule is not None and part.rule.agrees is False:
            said.setdefault(SAYS[part.rule.says], []).append(part)
    if not said:
        return ""
    if [len(parts) for parts in said.values()] == [len(field.parts)]:
        return f" Your state's printed rule {next(iter(said))}."
    return f" Your state's printed rule {' and '.join(f'{says} for {_named(said[says])}' for says in said)}."


def _why(part: PartAdvice) -> str:
    cut = n.percent(part.percent_cut, basis="observed")
    of = n.count(part.places, "plant", words=False)
    insect = OTHER if "not from this flight" in part.reasons else INSECT
    return f"{insect}, seen {n.day(part.walked)}: {cut} of {of} cut, {_larvae(part)}.{_worth(part)}"


def _larvae(part: PartAdvice) -> str:
    """How many larvae were found and how long they were: ``three larvae found, 0.5–0.6 in. long``."""
    if part.larvae_found is None:
        return "not searched for larvae lately"
    found = f"{n.count(part.larvae_found, 'larva', 'larvae')} found"
    if not part.larvae_mm:
        return found
    short, long = (f"{length / MM_PER_IN:.1f}" for length in (min(part.larvae_mm), max(part.larvae_mm)))
    return f"{found}, {short if short == long else f'{short}–{long}'} in. long"


def _worth(part: PartAdvice) -> str:
    """What leaving and treating are expected to lose; "" where nothing is treated."""
    left = next((one for one in part.options if one.kind == "leave"), None)
    done = next((one for one in part.options if one.kind == part.verdict), None)
    if part.verdict not in TREATS or left is None or done is None:
        return ""
    return f" Expected loss an acre: {_range(left)} if left, {_range(done)} if treated, all in."


def _range(option: OptionSaid) -> str:
    likely, bad = (money(per_ha).removesuffix(" an acre") for per_ha in (option.lost_per_ha, option.bad_tenth_per_ha))
    return f"{likely} (in a bad case {bad})"


def _last(part: PartAdvice) -> str:
    if part.verdict in TREATS:
        return CAUTION
    return {"look again": NOT_YET, "come back": f"I look again on {n.day(part.on)} and tell you."}.get(
        part.verdict, NOTHING
    )
