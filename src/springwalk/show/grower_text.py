"""Three lines for the grower, to be sent from the row: what to do, why, and what comes with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from springwalk.show import numbers as n
from springwalk.show.advice_words import TREATS, answer, money
from springwalk.show.facts import upper_first

if TYPE_CHECKING:  # words need the shape of advice, not what makes it
    from springwalk.jobs.advised import FieldAdvice, OptionSaid, PartAdvice

CAUTION = (
    "Before anyone sprays: the product label is the law, local rules come first, and you and your licensed adviser"
    " decide."
)
NOT_YET = "Nothing is sprayed on this yet; before anyone does, the label and your licensed adviser come first."
NOTHING = "Nothing to do now. Call me if you see plants freshly cut."
_PRESSING = ("spray", "ride along", "look again", "come back", "leave")


def grower_text(field: FieldAdvice) -> str:
    """The advice in three lines of plain words; where it treats the last one points to label and adviser."""
    part = _pressing(field)
    return "\n".join((f"{field.name}, {n.day(field.today)}: {_answer(field)}", _why(part), _last(part)))


def part_answers(field: FieldAdvice) -> tuple[str, ...]:
    """The advice of each part in a sentence, with its name where the field has several."""
    named = len(field.parts) > 1
    return tuple(
        f"{upper_first(part.name or 'the rest')}: {answer(part)}" if named else upper_first(answer(part))
        for part in field.parts
    )


def _pressing(field: FieldAdvice) -> PartAdvice:
    """The part that asks for most; of such parts the one with most plants cut."""
    return min(field.parts, key=lambda part: (_PRESSING.index(part.verdict), -part.percent_cut))


def _answer(field: FieldAdvice) -> str:
    part = _pressing(field)
    if len(field.parts) == 1:
        return answer(part)
    alike = [one for one in field.parts if (one.verdict, one.on) == (part.verdict, part.on)]
    if len(alike) == len(field.parts):
        return answer(part)
    if part.verdict not in TREATS:
        named = " and ".join(one.name or "the rest" for one in alike)
        return f"in {named}, {answer(part)}"
    treated = [one for one in field.parts if one.verdict in TREATS]
    said = [f"{one.name or 'the rest'}: {answer(one).removesuffix('.')}" for one in treated]
    only = "" if len(treated) == len(field.parts) else " Nothing on the other parts now."
    return f"{'; '.join(said)}.{only}"


def _why(part: PartAdvice) -> str:
    cut = n.percent(part.percent_cut, basis="observed")
    of = n.count(part.places, "plant", words=False)
    found = "" if part.larvae_found is None else f", {n.count(part.larvae_found, 'larva', 'larvae')} found"
    return f"Seen {n.day(part.walked)}: {cut} of {of} cut{found}.{_worth(part)}"


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
