"""Advice in plain words: the answer first, then money, odds, what it rests on, what would change it, and cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n
from springwalk.show.caution import USUAL
from springwalk.show.facts import odds, upper_first
from springwalk.show.money_words import dollars, terms_words
from springwalk.show.numbers import Shown
from springwalk.show.walk_questions import question_lines
from springwalk.units import ACRES_PER_HA

if TYPE_CHECKING:  # words need the shape of advice, not what makes it
    from springwalk.jobs.advised import AfterTreatment, FieldAdvice, MorningAdvice, OptionSaid, PartAdvice, RuleSaid

TREATS = ("spray", "ride along")
CLOSE_USD_AC = 3.0
"""Expected losses nearer than this are called a close call ($ an acre, assumption)."""
REASONS = {
    "no live larvae": "No live larva of a size worth treating was found lately, so nothing is sprayed on this.",
    "nothing fresh": "No plant was cut lately: the stubs are old.",
    "not from this flight": (
        "The larvae found are too far on for this flight. Look at the skin (grainy like sandpaper, or smooth) and at"
        " the four bumps on top of a middle segment (front pair much smaller, or all alike): it may be another cutworm."
        " The advice rests on what was found."
    ),
    "not searched": "Nobody has searched for larvae in the last days.",
    "by day": "The search was made by day, when larvae sit in the soil.",
    "hour not told": "The hour of the search was not told.",
    "hard soil": "The soil was dry or crusted: larvae sit deeper, and few are found.",
    "few plants": "Too few plants were searched to say much.",
}
LOOKS = {
    "larva search": "a search for larvae at dusk",
    "count": "a count of 100 plants",
    "recount": "the same flagged plants counted again in two days",
    "collars": "the corn's leaf collars, counted",
}
HOW_TO_SEARCH = (
    "Search at dusk round freshly cut plants and their neighbours in the row: under clods and residue, two inches deep,"
    " where dry soil meets moist."
)
SAYS = {
    "treat": "says treat",
    "judge": "leaves it to judgement",
    "wait": "says wait",
    "silent": "does not speak of this stage or size",
}
DIFFERS = {
    "no live larvae": "We ask for live larvae first.",
    "little left to cut": "It counts what was cut; little is left to be cut.",
    "look first": "It counts what was cut; another look is worth more before paying for a pass.",
    "more to come": "It counts what was cut; more is still to come.",
    "cheap pass": "A pass that goes anyway costs the product only, so it pays sooner.",
}


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


def answer(part: PartAdvice) -> str:
    """What to do with a part, in one sentence."""
    on = n.day(part.on)
    return {
        "leave": "leave it alone.",
        "spray": f"spray on {on}, in the evening.",
        "ride along": f"let it ride along with the pass on {on}.",
        "come back": f"leave it today and look once more on {on}.",
        "look again": f"don't spray yet: look again at dusk on {on}.",
    }[part.verdict]


def advice_section(field: FieldAdvice) -> dict[str, Any]:
    """The advice as text by name, for a page: the answer, each part's table of options, and what it rests on."""
    return {
        "answer": upper_first(advice_headline(field)),
        "whole": _whole_money(field),
        "parts": [
            {
                "name": upper_first(part.name or "the rest") if len(field.parts) > 1 else "",
                "answer": upper_first(answer(part)) if len(field.parts) > 1 else "",
                "seen": _seen(part),
                "believed": _ahead(part),
                "fit": " ".join(_fit(part)),
                "options": [_option_cells(option, part) for option in part.options],
                "notes": _notes(part),
            }
            for part in field.parts
        ],
        "terms": terms_words(field.terms) if field.terms is not None else "",
    }


def _whole_money(field: FieldAdvice) -> str:
    """The whole field's money; "" where it is one part, whose table says it by the acre."""
    if len(field.parts) < 2:
        return ""
    left, every, best = (dollars(x) for x in (field.left_usd, field.all_treated_usd, field.as_advised_usd))
    return f"Whole field: {best} expected to be lost as advised, {left} if all is left, {every} if all is treated."


def _option_cells(option: OptionSaid, part: PartAdvice) -> dict[str, str]:
    """One row of a table: what, expected loss and loss in the bad tenth ($ an acre), odds that it is best.

    ``first`` marks the answer.
    """
    return {
        "what": _what(option, part),
        "first": "first" if option.kind == part.verdict and option.on == part.on else "",
        "loss": _bare(money(option.lost_per_ha)),
        "bad": _bare(money(option.bad_tenth_per_ha)),
        "best": "" if option.odds_best is None else _of_100(option.odds_best),
    }


def part_lines(part: PartAdvice, *, named: bool) -> list[str]:
    """The lines of one part; with its name and answer in front where a field has several."""
    lines = [f"{upper_first(part.name or 'the rest')}: {answer(part)}"] if named else []
    lines += [_seen(part), _ahead(part), *_fit(part), *(_option(option, part) for option in part.options)]
    return [*lines, *_notes(part)]


def _close(part: PartAdvice) -> list[str]:
    """That the two best things to do are nearly even, where they are."""
    sure = sorted((o for o in part.options if o.odds_best is not None), key=lambda o: o.lost_per_ha)
    if len(sure) < 2 or sure[1].lost_per_ha - sure[0].lost_per_ha > CLOSE_USD_AC * ACRES_PER_HA:
        return []
    if not any(option.kind in TREATS for option in sure[:2]):
        return []
    apart = money(sure[1].lost_per_ha - sure[0].lost_per_ha)
    one, two = (_what(option, part)[0].lower() + _what(option, part)[1:] for option in sure[:2])
    return [
        f"It is a close call: {one} and {two} are {apart} apart. Your state's rule and the grower's view may decide."
    ]


def _notes(part: PartAdvice) -> list[str]:
    """Why, what would change it most, and the state's rule beside it."""
    lines = [*_close(part), *(REASONS[code] for code in part.reasons)]
    if part.larvae_before is not None and "no live larvae" in part.reasons:
        lines.append(
            f"Larvae were found on {n.day(part.larvae_before)}: too long ago to spray on. Live ones are needed now."
        )
    if part.verdict == "look again":
        lines.append(HOW_TO_SEARCH)
    elif part.next_look:
        worth = money(part.next_look_per_ha)
        lines.append(f"What would change it most: {LOOKS[part.next_look]}, worth {worth} before choosing.")
    if part.rule is not None:
        lines.append(_rule(part.rule, looks=part.verdict == "look again"))
    return lines


def money(per_ha: float) -> Shown:
    """Money an acre from money per hectare: ``$16 an acre``; cents below ten dollars."""
    per_acre = per_ha / ACRES_PER_HA
    sign = "−" if per_acre < -0.005 else ""
    return Shown(f"{sign}${abs(per_acre):,.{0 if abs(per_acre) >= 9.995 else 2}f} an acre", "assumption")


def _seen(part: PartAdvice) -> str:
    cut = n.percent(part.percent_cut, basis="observed")
    larvae = ""
    if not part.places:
        found = n.count(part.larvae_found or 0, "larva", "larvae")
        return f"Searched {n.day(part.walked)}: {found} found; no plants counted."
    if part.larvae_found is not None:
        larvae = f"; {n.count(part.larvae_found, 'larva', 'larvae')} found"
    return (
        f"Seen {n.day(part.walked)}: {cut} of {n.count(part.places, 'plant', words=False)} cut, fresh and old{larvae}."
    )


def _ahead(part: PartAdvice) -> str:
    larvae = n.estimate(part.larvae_per_100, "larvae per 100 plants", basis="assumption")
    ahead = n.estimate(part.cuts_ahead_per_100, "plants per 100", basis="assumption")
    pays = n.number(part.break_even_per_100, "per 100", basis="assumption")
    loss = n.number(part.loss_per_cut, "of a plant", basis="assumption", decimals=2)
    kill = n.share(part.kill, basis="assumption")
    return (
        f"By our reckoning {larvae} that cut, and {ahead} still to be cut if it is left,"
        f" {money(part.lost_if_left_per_ha)} lost. A pass of its own pays from {pays} still to be cut, with {loss} lost"
        f" per cut plant and {kill} of the"
        " cutting stopped. Ranges hold 8 times in 10 by our own assumptions."
    )


def _fit(part: PartAdvice) -> list[str]:
    if part.fit_on is None:
        return []
    return [f"The ground is too wet for a pass before {n.day(part.fit_on)}, if no more rain falls."]


def _of_100(share: float) -> str:
    """Odds where the table's heading says what they are of: ``97 in 100``."""
    return odds(share).replace(" chances in ", " in ").replace(" chance in ", " in ")


def _bare(shown: Shown) -> Shown:
    """Money an acre where the table's heading says so."""
    return Shown(shown.removesuffix(" an acre"), shown.basis)


def _what(option: OptionSaid, part: PartAdvice) -> str:
    """What to do; a treatment that live larvae are lacking for says so."""
    lacking = ", once live larvae are found" if option.kind in TREATS and "no live larvae" in part.reasons else ""
    return {
        "leave": "Leave it",
        "spray": f"Spray on {n.day(option.on)}",
        "ride along": f"Ride along on {n.day(option.on)}",
        "come back": f"Look again on {n.day(option.on)}, then decide",
    }[option.kind] + lacking


def _option(option: OptionSaid, part: PartAdvice) -> str:
    best = "" if option.odds_best is None else f"; best in {odds(option.odds_best)}"
    bad = money(option.bad_tenth_per_ha)
    return f"{_what(option, part)}: {money(option.lost_per_ha)} expected loss, {bad} in the worst tenth{best}."


def _rule(rule: RuleSaid, *, looks: bool) -> str:
    verdict = {True: "We agree.", False: "We differ.", None: ""}[rule.agrees]
    why = DIFFERS.get(rule.differs, "")
    if looks and rule.says == "wait":
        verdict, why = "We would look for larvae before waiting.", ""
    percent = n.percent(rule.percent, basis="observed")
    told = " ".join(text for text in (verdict, why) if text)
    return f"{rule.state}'s printed rule, at {percent}, {SAYS[rule.says]}. {told} ({rule.source})".replace(
        ".  (", ". ("
    )
