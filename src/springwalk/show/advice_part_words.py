"""The advice for one part in plain words: the answer, money, odds, what it rests on, and what would change it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from springwalk.show import numbers as n
from springwalk.show.facts import odds, upper_first
from springwalk.show.numbers import Shown
from springwalk.units import ACRES_PER_HA

if TYPE_CHECKING:  # words need the shape of advice, not what makes it
    from springwalk.jobs.advised import OptionSaid, PartAdvice, RuleSaid

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


def part_section(part: PartAdvice, *, named: bool) -> dict[str, Any]:
    """A part as text by name, for a page; with its name and answer where a field has several."""
    return {
        "name": upper_first(part.name or "the rest") if named else "",
        "answer": upper_first(answer(part)) if named else "",
        "seen": _seen(part),
        "believed": _ahead(part),
        "fit": " ".join(_fit(part)),
        "options": [_option_cells(option, part) for option in part.options],
        "notes": _notes(part),
    }


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
