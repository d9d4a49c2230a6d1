"""The things one can do today, each with its loss, and what one more look would change.

An option's losses are money per hectare over draws n, loads L and shifts S of belief.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

from springwalk.engine.advice_facts import AdviceParams, FieldFacts
from springwalk.engine.belief_larvae import detection
from springwalk.engine.belief_stops import likeness
from springwalk.engine.found import BEST_SOIL
from springwalk.engine.losses import Nodes, Outlook, kill_by_shift, loss_per_ha, nodes

Array = NDArray[np.float64]

Kind = Literal["leave", "spray", "ride along", "come back"]
Look = Callable[[int], Array]
"""Days from now → likelihood (x, L, S) of every outcome of a look then; sums to 1 over x."""
DUSK_HOUR = 20
MOST_FOUND = 15


@dataclass(frozen=True)
class Option:
    """One thing to do: what, in how many days, at what cost per ha, and its losses (n, L, S)."""

    kind: Kind
    days: int
    cost: float
    losses: Array

    @property
    def treats(self) -> bool:
        """Whether something is sprayed for sure."""
        return self.kind in ("spray", "ride along")


@dataclass(frozen=True)
class Setting:
    """One unit ready to be judged: belief (L, S) on loads ``lam`` (L,), what is ahead, and the draws."""

    weight: Array
    lam: Array
    view: Outlook
    around: Nodes
    facts: FieldFacts
    params: AdviceParams

    @property
    def draw_weight(self) -> Array:
        """Weight (n,) of the draws: nodes × weather members."""
        members = len(self.view.past)
        return np.repeat(self.around.weight, members) / members

    def mean(self, losses: Array) -> Array:
        """Losses (L, S) over the draws."""
        return np.asarray(np.tensordot(self.draw_weight, losses, axes=1))

    def expected(self, losses: Array) -> float:
        """Loss over draws and belief, money per ha."""
        return float((self.weight * self.mean(losses)).sum())


def setting(weight: Array, lam: Array, view: Outlook, facts: FieldFacts, params: AdviceParams) -> Setting:
    """Put a unit together; the corn's stage is surer where it was seen."""
    sd = params.collars_seen_sd if facts.plants.collars_seen else params.collars_unseen_sd
    return Setting(weight, lam, view, nodes(facts.plants, params.yields, params.cutting, sd), facts, params)


def kill_on(one: Setting, day: int) -> Array:
    """Share (S,) of the cutting to come that a treatment ``day`` days from now stops."""
    stages = one.view.stages[:, min(day, one.view.stages.shape[1] - 1)]
    if one.facts.kill is not None:
        return np.full(len(stages), one.facts.kill)
    return kill_by_shift(stages, np.array(one.params.kill_by_stage), np.array(one.params.left_by_stage))


def _option(one: Setting, kind: Kind, days: int | None, cost: float) -> Option:
    kill = None if days is None else kill_on(one, days)
    losses = loss_per_ha(
        one.view, one.around, one.lam, one.facts.money.value, day=days, kill=kill, cost_per_ha=cost
    )  # fmt: skip
    return Option(kind, days or 0, cost, losses)


def sure_options(one: Setting, *, not_before: int = 0) -> tuple[Option, ...]:
    """Leave; an own pass on each day it could go; along with a pass that goes anyway. Passes before a day are late by
    as much as it takes to hear of it."""
    money, facts = one.facts.money, one.facts
    made = [_option(one, "leave", None, 0.0)]
    for day in sorted({max(day, 0) + not_before for day in facts.spray_in_days}):
        made.append(_option(one, "spray", day, money.own_pass))
    if facts.pass_in_days is not None and facts.pass_in_days >= not_before:
        made.append(_option(one, "ride along", facts.pass_in_days, money.product))
    return tuple(made)


def after_look(one: Setting, likelihood: Array, options: tuple[Option, ...]) -> tuple[float, Array]:
    """Expected loss when the best option is taken after each outcome, and how likely (o, L, S) each is taken."""
    means = np.stack([one.mean(option.losses) for option in options])
    by_outcome = np.einsum("xls,ls,ols->xo", likelihood, one.weight, means, optimize=True)
    chosen = by_outcome.argmin(axis=1)
    odds = np.stack([likelihood[chosen == o].sum(axis=0) for o in range(len(options))])
    return float(by_outcome.min(axis=1).sum()), odds


def come_back(one: Setting, day: int, look: Look) -> Option:
    """Wait, look again ``day`` days from now, and then do the best: the visit and the cutting until then are paid."""
    options = sure_options(one, not_before=day)
    _, odds = after_look(one, look(day), options)
    losses = sum(odds[o] * option.losses for o, option in enumerate(options)) + one.facts.money.visit
    return Option("come back", day, one.facts.money.visit, np.asarray(losses))


def count_look(one: Setting) -> Look:
    """One more count of the usual plants in the usual stops, cut plants of any age."""
    params, belief = one.params, one.params.belief
    places, stops = params.look_plants, params.look_stops

    def look(day: int) -> Array:
        by_then = one.view.past + one.view.ahead[..., min(day, one.view.ahead.shape[-1] - 1)]
        cut = belief.cut_found * by_then.mean(axis=0)[None, :]
        lam = one.lam[:, None]
        share = 1.0 - (1.0 - belief.background) * np.exp(-lam * cut / 100.0)
        per_stop = places // stops
        rho = likeness(lam, cut, per_stop, belief) * (per_stop - 1) / (places - 1)  # same spread as so many stops
        return beta_binomial(places, share, rho)

    return look


def recount_look(one: Setting) -> Look:
    """The same flagged plants counted again ``recount_days`` later: only what was cut in between."""
    params, belief = one.params, one.params.belief

    def look(day: int) -> Array:
        last = one.view.ahead.shape[-1] - 1
        new = one.view.ahead[..., min(day, last)] - one.view.ahead[..., min(max(day - params.recount_days, 0), last)]
        cut = belief.cut_found * new.mean(axis=0)[None, :]
        lam = one.lam[:, None]
        share = 1.0 - np.exp(-lam * cut / 100.0)
        per_stop = params.look_plants // params.look_stops
        rho = likeness(lam, cut, per_stop, belief) * (per_stop - 1) / (params.look_plants - 1)
        return beta_binomial(params.look_plants, share, rho)

    return look


def search_look(one: Setting) -> Look:
    """A search for larvae at dusk in moist soil: how many are found, as thinned Poisson; sizes are left out."""
    params, belief = one.params, one.params.belief
    effort = params.search_plants / 100.0 * detection(DUSK_HOUR, BEST_SOIL, belief)

    def look(day: int) -> Array:
        stages = one.view.stages[:, min(day, one.view.stages.shape[1] - 1)]
        mean = effort * one.lam[:, None] * (stages[:, 1:5] @ np.array(belief.sizes.found))[None, :]
        x = np.arange(MOST_FOUND)[:, None, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            log = np.where(mean > 0, x * np.log(mean), np.where(x > 0, -np.inf, 0.0)) - mean - gammaln(x + 1.0)
        some = np.exp(log)
        return np.concatenate([some, np.maximum(1.0 - some.sum(axis=0, keepdims=True), 0.0)])

    return look


def search_unlocks(one: Setting, options: tuple[Option, ...]) -> float:
    """What a search at dusk is worth per ha where nothing may be sprayed without live larvae: it opens the choice.

    None found leaves the options that don't treat, any found leaves all.
    """
    means = np.stack([one.mean(option.losses) for option in options])
    waiting = np.array([not option.treats for option in options])
    by_outcome = np.einsum("xls,ls,ols->xo", search_look(one)(0), one.weight, means, optimize=True)
    closed = float(by_outcome[:, waiting].sum(axis=0).min())
    opened = float(by_outcome[0, waiting].min() + by_outcome[1:].min(axis=1).sum())
    return closed - opened


def beta_binomial(places: int, share: Array, rho: Array) -> Array:
    """Chance (places + 1, …) of each count of plants; right at share 0 and ρ 0 as well."""
    theta = rho / (1.0 - rho)
    i = np.arange(places).reshape(-1, *[1] * share.ndim)
    with np.errstate(divide="ignore"):
        hit, miss = np.log(share + i * theta), np.log((1.0 - share) + i * theta)
    whole = np.log1p(i * theta).sum(axis=0)
    zero = np.zeros((1, *np.broadcast_shapes(share.shape, rho.shape)))
    hits = np.concatenate([zero, np.cumsum(hit, axis=0)])
    misses = np.concatenate([zero, np.cumsum(miss, axis=0)])[::-1]
    x = np.arange(places + 1)
    ways = gammaln(places + 1.0) - gammaln(x + 1.0) - gammaln(places - x + 1.0)
    return np.asarray(np.exp(ways.reshape(-1, *[1] * share.ndim) + hits + misses - whole))


def collars_value(one: Setting, options: tuple[Option, ...]) -> float:
    """What it is worth per ha to know the corn's stage before choosing: 0 where every stage asks for the same."""
    weight = one.draw_weight
    stage = np.repeat(one.around.stage, len(one.view.past))
    by_draw = np.stack([(option.losses * one.weight).sum(axis=(1, 2)) for option in options])  # (o, n)
    best = float((by_draw @ weight).min())
    known = sum(float((by_draw[:, stage == k] @ weight[stage == k]).min()) for k in np.unique(stage).tolist())
    return max(best - known, 0.0)
