"""Advice for a planting or zone: the option of least expected loss, how sure that is, and what would change it.

No treatment is advised without live larvae of a size worth treating: the advice is then to look again. Larvae too far
on for the date are not of this flight, and what was found speaks for itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.advice_facts import AdviceParams, FieldFacts
from springwalk.engine.found import as_far, found_outlook, found_weight, treatable, weakness
from springwalk.engine.losses import Outlook, break_even_cuts, share_lost, spread
from springwalk.engine.options import (
    Kind,
    Look,
    Option,
    Setting,
    after_look,
    collars_value,
    come_back,
    count_look,
    kill_on,
    recount_look,
    search_look,
    search_unlocks,
    setting,
    sure_options,
)
from springwalk.engine.state_rule import RuleSays, StateRule, state_says

Array = NDArray[np.float64]

Verdict = Literal["leave", "spray", "ride along", "come back", "look again"]
BAD_SHARE = 0.1
OTHER_SURE = 0.5


@dataclass(frozen=True)
class Ranked:
    """One option: cost and expected loss (money per ha), the odds that it is best, its mean loss in the bad tenth.

    Odds are among the things done for sure. To come back has none: whoever knew all would never pay for another look.
    """

    kind: Kind
    days: int
    cost: float
    expected: float
    odds_best: float | None
    bad_tenth: float


@dataclass(frozen=True)
class NextLook:
    """An observation and what it is worth before choosing, money per ha; ``days`` from now."""

    kind: Literal["larva search", "count", "recount", "collars"]
    days: int
    value: float


@dataclass(frozen=True)
class Beside:
    """The state's rule beside the advice. ``agrees`` None: the rule is silent or leaves it to judgement.

    ``why`` where they differ: ``no live larvae``, ``little left to cut``, ``look first``, ``more to come``,
    ``cheap pass``.
    """

    says: RuleSays
    agrees: bool | None
    why: str


@dataclass(frozen=True)
class Advice:
    """What we say of one planting or zone today. Money per ha.

    ``larvae_per_100`` plant places that ever reach cutting size and ``cuts_ahead``, plants per 100 still to be cut if
    left, are (10 % point, mean, 90 % point).
    ``options`` least loss first, over all there were; ``verdict`` may be none of them: "look again" in ``days`` where
    the best would be to treat but no live larva was found. ``break_even_cuts`` per 100 for the first own pass, worked
    with ``loss_per_cut`` and ``kill``. ``looks`` most telling first. ``reasons`` are codes (see `found.weakness`), with
    ``no live larvae``, ``nothing fresh``, ``not from this flight``.
    """

    verdict: Verdict
    days: int
    options: tuple[Ranked, ...]
    looks: tuple[NextLook, ...]
    lost_if_left: float
    larvae_per_100: tuple[float, float, float]
    cuts_ahead: tuple[float, float, float]
    break_even_cuts: float
    loss_per_cut: float
    kill: float
    reasons: tuple[str, ...]
    as_far: float
    beside: Beside | None

    @property
    def treats(self) -> bool:
        """Whether it says to spray."""
        return self.verdict in ("spray", "ride along")

    @property
    def at_stake(self) -> float:
        """Money per ha between leaving and the best way of treating (positive: treating is better)."""
        treating = [o.expected for o in self.options if o.kind in ("spray", "ride along")]
        return self.lost_if_left - min(treating)


def advise(
    weight: Array,
    lam: Array,
    view: Outlook,
    facts: FieldFacts,
    params: AdviceParams,
    *,
    rules: Sequence[StateRule] = (),
    look: Look | None = None,
) -> Advice:
    """Advice from belief ``weight`` (L, S) on loads ``lam`` (L,) and the outlook of the same shifts.

    ``look`` gives the outcomes of a look some days from now (likelihood (x, L, S)); None = a count of 100 plants. It is
    left out where larvae are not of this flight, because the grid is then another. Raises BadValue for a state without
    a rule.
    """
    far = as_far(facts.search, view.stages[:, 0], weight.sum(axis=0), params.belief.sizes)
    alive = treatable(facts.search, params.found)
    strange = facts.search is not None and _strange(far, facts, params)
    if strange and facts.search is not None:
        days = view.ahead.shape[-1]
        view = found_outlook(facts.search, facts.plants.collars, params, days=days)
        weight, look = found_weight(facts.search, lam, params.belief), None
    one = setting(weight, lam, view, facts, params)
    sure = sure_options(one)
    later = tuple(come_back(one, day, look or count_look(one)) for day in facts.look_in_days)
    options = _rank(one, (*sure, *later))
    verdict, days, reasons = _verdict(options, alive, facts, params)
    reasons += ("not from this flight",) if strange else ()
    made = _advice(one, options, verdict, days, reasons, far, _looks(one, sure, blocked=verdict == "look again"))
    return replace(made, beside=_beside(made, facts, rules))


def _strange(far: float, facts: FieldFacts, params: AdviceParams) -> bool:
    search = facts.search
    sized = search is not None and bool(search.lengths_mm or search.instars)
    return sized and (far < params.found.not_this_flight or facts.other_origin > OTHER_SURE)


def _advice(
    one: Setting,
    options: tuple[Ranked, ...],
    verdict: Verdict,
    days: int,
    reasons: tuple[str, ...],
    far: float,
    looks: tuple[NextLook, ...],
) -> Advice:
    money = one.facts.money
    first = min(one.facts.spray_in_days)
    loss = float(one.around.loss_per_cut @ one.around.weight)
    kill = float(one.weight.sum(axis=0) @ kill_on(one, first))
    left = next(option for option in options if option.kind == "leave")
    return Advice(
        verdict=verdict,
        days=days,
        options=options,
        looks=looks,
        lost_if_left=left.expected,
        larvae_per_100=spread(np.broadcast_to(one.lam[:, None], one.weight.shape), one.weight),
        cuts_ahead=_ahead(one),
        break_even_cuts=break_even_cuts(money.own_pass, money.value, loss, kill),
        loss_per_cut=loss,
        kill=kill,
        reasons=reasons,
        as_far=far,
        beside=None,
    )


def _ahead(one: Setting) -> tuple[float, float, float]:
    """Plants per 100 still to be cut: over the loads, the clock, the weather and the corn's stage."""
    kinds, where = np.unique(one.around.stage, return_index=True)
    odds = np.bincount(one.around.stage, one.around.weight, len(kinds))
    lost = 100.0 * share_lost(one.view, one.around.ahead[where], one.lam, None, np.zeros(one.weight.shape[1]))
    weight = odds[:, None, None, None] / lost.shape[1] * one.weight[None, None]
    return spread(lost, np.broadcast_to(weight, lost.shape))


def _verdict(
    options: tuple[Ranked, ...], alive: int, facts: FieldFacts, params: AdviceParams
) -> tuple[Verdict, int, tuple[str, ...]]:
    """The best option; without live larvae nothing is treated.

    A weak search is made good tonight. After a good one, fresh cuts ask for another tomorrow; with nothing fresh the
    field is left, and looked at once more.
    """
    best = options[0]
    weak = () if alive else weakness(facts.search, params.belief, params.found)
    if alive or best.kind not in ("spray", "ride along"):
        return best.kind, best.days, ()
    if weak or facts.fresh_cuts:
        return "look again", 0 if weak else 1, ("no live larvae", *weak)
    waiting = [o for o in options if o.kind == "come back"] or [o for o in options if o.kind == "leave"]
    return waiting[0].kind, waiting[0].days, ("no live larvae", "nothing fresh")


def _rank(one: Setting, options: tuple[Option, ...]) -> tuple[Ranked, ...]:
    """Options by expected loss; of equal ones the earlier listed (leave before treating) comes first and counts."""
    sure = [option for option in options if option.kind != "come back"]
    weight = one.draw_weight[:, None, None] * one.weight[None]
    best = np.stack([option.losses for option in sure]).argmin(axis=0)
    odds = np.bincount(best.ravel(), weight.ravel(), len(sure))
    by_option = {id(option): float(odds[k]) for k, option in enumerate(sure)}
    made = [
        Ranked(o.kind, o.days, o.cost, float((o.losses * weight).sum()), by_option.get(id(o)), _bad(o.losses, weight))
        for o in options
    ]
    return tuple(sorted(made, key=lambda option: option.expected))


def _bad(losses: Array, weight: Array) -> float:
    """Mean loss in the worst tenth of the draws; what weighs next to nothing is left out of the sorting."""
    kept = weight.ravel() > 1e-9 * weight.max()
    value, w = losses.ravel()[kept], weight.ravel()[kept]
    order = np.argsort(-value)
    value, w = value[order], w[order] / w.sum()
    before = np.cumsum(w) - w
    part = np.clip(BAD_SHARE - before, 0.0, w)
    return float(part @ value / BAD_SHARE)


def _looks(one: Setting, now: tuple[Option, ...], *, blocked: bool) -> tuple[NextLook, ...]:
    """What each further observation is worth before choosing: the drop in expected loss it brings on average.

    Where only live larvae are lacking (``blocked``), the search is worth what it opens.
    """
    best = min(one.expected(option.losses) for option in now)
    later = one.params.recount_days
    after = sure_options(one, not_before=later)
    search = search_unlocks(one, now) if blocked else best - after_look(one, search_look(one)(0), now)[0]
    made = [
        NextLook("larva search", 0, search),
        NextLook("count", 0, best - after_look(one, count_look(one)(0), now)[0]),
        NextLook("recount", later, best - after_look(one, recount_look(one)(later), after)[0]),
        NextLook("collars", 0, collars_value(one, now)),
    ]
    return tuple(sorted((replace(m, value=max(m.value, 0.0)) for m in made), key=lambda m: -m.value))


def _beside(advice: Advice, facts: FieldFacts, rules: Sequence[StateRule]) -> Beside | None:
    if not facts.state or not rules:
        return None
    says = state_says(rules, facts.state, facts.counted)[0]
    if says.says in ("judge", "silent"):
        return Beside(says, None, "")
    wants = says.says == "treat"
    return Beside(says, wants == advice.treats, "" if wants == advice.treats else _why_differs(advice, wants))


def _why_differs(advice: Advice, wants: bool) -> str:
    if wants:
        by_verdict = {"look again": "no live larvae", "come back": "look first"}
        return by_verdict.get(advice.verdict, "little left to cut")
    return "cheap pass" if advice.cuts_ahead[1] < advice.break_even_cuts else "more to come"
