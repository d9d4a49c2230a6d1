"""Advice for fields in plain words: the answer first, then each part, what was asked of its walks, and cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n
from springwalk.show.advice_part_words import TREATS, answer, part_lines, part_section
from springwalk.show.caution import USUAL
from springwalk.show.facts import upper_first
from springwalk.show.money_words import dollars, terms_words
from springwalk.show.walk_questions import question_lines

if TYPE_CHECKING:  # words need the shape of advice, not what makes it
    from springwalk.jobs.advised import AfterTreatment, FieldAdvice, MorningAdvice


def advice_lines(field: FieldAdvice, *, cautions: bool = True) -> tuple[str, ...]:
    """The advice for a field, line by line: each part's answer, money, odds and reasons; cautions where it treats.

    ``cautions`` False only where the page says them itself.
    """
    lines = [f"{field.name}: {advice_headline(field)}"]
    for part in field.parts:
        lines += part_lines(part, named=len(field.parts) > 1)
    lines += question_lines(field.questions)
    if cautions and any(part.verdict in (*TREATS, "look again") for part in field.parts):
        lines += USUAL
    if field.terms is not None:
        lines.append(terms_words(field.terms))
    return tuple(lines)


ORDER = ("spray", "ride along", "look again", "come back", "leave")
"""Verdicts by how much they press."""


def morning_rows(morning: MorningAdvice) -> list[tuple[FieldAdvice, str]]:
    """Every field with its answer, what presses first, then the most money between leaving and the advice."""

    def press(field: FieldAdvice) -> tuple[int, float, str]:
        first = min(ORDER.index(part.verdict) for part in field.parts)
        return first, field.as_advised_usd - field.left_usd, field.field

    return [(field, upper_first(advice_headline(field))) for field in sorted(morning.fields, key=press)]


def after_words(one: AfterTreatment) -> str:
    """That a treatment may not have held: what was found since, and what to check."""
    found = []
    if one.larvae:
        found.append(f"{n.count(one.larvae, 'live larva', 'live larvae')}")
    if one.fresh_cut:
        found.append(f"{n.count(one.fresh_cut, 'fresh cut')} in {n.count(one.places, 'plant', words=False)}")
    return (
        f"Treated {n.day(one.treated)}, yet {' and '.join(found)} on {n.day(one.walked)}: it may not have held, or"
        " others came. Check product, rate, timing and the untreated strip. Whether it may be treated again the label"
        " says."
    )


def after_lines(morning: MorningAdvice) -> tuple[str, ...]:
    """The same for every such field, with its name in front."""
    return tuple(f"{one.name} [{one.field}]: {after_words(one)}" for one in morning.after)


def morning_lines(morning: MorningAdvice) -> tuple[str, ...]:
    """The answer for every field walked lately, a line each; cautions where any is to be treated."""
    after = after_lines(morning)
    if not morning.fields and not after:
        return ("No field was walked in the last days, so there is nothing to advise on.",)
    lines = [f"{field.name} [{field.field}]: {said}" for field, said in morning_rows(morning)]
    treats = any(part.verdict in (*TREATS, "look again") for field in morning.fields for part in field.parts)
    terms = morning.fields[0].terms if morning.fields else None
    return (*after, *lines, *(USUAL if treats else ()), *([terms_words(terms)] if terms is not None else []))


def advice_headline(field: FieldAdvice) -> str:
    """What to do with the field, in one sentence."""
    if field.what == "part":
        named = " and ".join(name or "the rest" for name in field.treat)
        seen = n.number(field.percent_cut, "%", basis="observed")
        return f"treat only {named}; over the whole field {seen} of the plants are cut (by area, fresh and old)."
    return answer(field.parts[0]) if len(field.parts) == 1 else _whole(field)


def _whole(field: FieldAdvice) -> str:
    """One sentence for a field of several parts that are all treated, or none of them."""
    if field.what == "whole":
        return "treat all of it."
    for verdict in ("look again", "come back"):
        parts = [part for part in field.parts if part.verdict == verdict]
        if parts:
            named = " and ".join(part.name or "the rest" for part in parts)
            where = "" if len(parts) == len(field.parts) else f" in {named}"
            first = min(parts, key=lambda part: part.on)
            return answer(first).removesuffix(".") + f"{where}."
    return "leave all of it alone."


def advice_section(field: FieldAdvice) -> dict[str, Any]:
    """The advice as text by name, for a page: the answer, each part's table of options, and what it rests on."""
    return {
        "answer": upper_first(advice_headline(field)),
        "whole": _whole_money(field),
        "parts": [part_section(part, named=len(field.parts) > 1) for part in field.parts],
        "terms": terms_words(field.terms) if field.terms is not None else "",
    }


def _whole_money(field: FieldAdvice) -> str:
    """The whole field's money; "" where it is one part, whose table says it by the acre."""
    if len(field.parts) < 2:
        return ""
    left, every, best = (dollars(x) for x in (field.left_usd, field.all_treated_usd, field.as_advised_usd))
    return f"Whole field: {best} expected to be lost as advised, {left} if all is left, {every} if all is treated."
