"""What a search for larvae says: are there live ones worth treating, was it a good search, are they of this flight."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.advice_facts import AdviceParams, FoundParams
from springwalk.engine.belief_larvae import DAY_HOURS, detection, size_odds
from springwalk.engine.belief_seen import BeliefParams, Sizes, WalkSeen
from springwalk.engine.cutting import still_to_cut
from springwalk.engine.losses import Outlook

Array = NDArray[np.float64]

HARD_SOIL = ("dry", "crusted")
BEST_HOUR, BEST_SOIL = 22, "moist"


def treatable(search: WalkSeen | None, params: FoundParams) -> int:
    """Live larvae found that are worth treating: not longer than full size, not past the sixth instar.

    Larvae nobody measured count, because they were seen alive.
    """
    if search is None:
        return 0
    large = sum(length > params.treatable_to_mm for length in search.lengths_mm)
    large += sum(instar > params.treatable_to_instar for instar in search.instars)
    found = max(search.larvae_found, len(search.lengths_mm) + len(search.instars))
    return found - large


def power(search: WalkSeen | None, belief: BeliefParams, params: FoundParams) -> float:
    """Chance (0–1) that a search finds any larva where ``signal_per_100`` are; 0 where nobody searched."""
    if search is None or not search.plants_searched:
        return 0.0
    met = search.plants_searched / 100.0 * params.signal_per_100 * detection(search.hour, search.soil, belief)
    return float(-np.expm1(-met))


def weakness(search: WalkSeen | None, belief: BeliefParams, params: FoundParams) -> tuple[str, ...]:
    """Why a search that found nothing says little, as codes; empty for a good one.

    Codes: ``not searched``, ``by day``, ``hour not told``, ``hard soil``, ``few plants``.
    """
    if search is None or not search.plants_searched:
        return ("not searched",)
    if power(search, belief, params) >= params.weak_search:
        return ()
    why = []
    if search.hour is None:
        why.append("hour not told")
    elif search.hour in DAY_HOURS:
        why.append("by day")
    if search.soil in HARD_SOIL:
        why.append("hard soil")
    best = detection(BEST_HOUR, BEST_SOIL, belief) * search.plants_searched / 100.0 * params.signal_per_100
    if -np.expm1(-best) < params.weak_search:
        why.append("few plants")
    return tuple(why) or ("few plants",)


def as_far(search: WalkSeen | None, stages: Array, shift_weight: Array, sizes: Sizes) -> float:
    """Least share (0–1) of this flight's brood that is as far on as a larva found, over the larvae measured.

    ``stages`` (S, 6) of the day, ``shift_weight`` (S,). 1 where no larva was measured.
    """
    if search is None:
        return 1.0
    likely = size_odds(search, sizes)
    if not len(likely):
        return 1.0
    by_class = likely / likely.sum(axis=1, keepdims=True)
    brood = shift_weight @ stages
    from_here = np.cumsum(brood[::-1])[::-1][1:5]  # as far as instars 1–3, 4, 5, 6
    return float((by_class @ from_here).min())


def cut_left(collars: float, params: AdviceParams) -> Array:
    """Plants (4,) a larva found in instars 1–3, 4, 5 or 6 will still cut on growing corn: half its instar is over."""
    out = []
    for k in range(4):
        spans = np.array(params.found.spans_ddc)
        if k:
            spans[: k - 1] = 0.0
            spans[k - 1] /= 2.0
        given = (float(spans[0]), float(spans[1]), float(spans[2]))
        out.append(still_to_cut(collars, given, params.cutting, collar_ddc=params.found.collar_ddc))
    return np.array(out)


def found_outlook(search: WalkSeen, collars: float, params: AdviceParams, *, days: int) -> Outlook:
    """What the larvae found will do, with no flight and no clock: one member, one shift, nothing cut before.

    They are taken to feed evenly over the days left to their instar. Other species may feed less: the page says so.
    """
    likely = size_odds(search, params.belief.sizes)
    share = (likely / likely.sum(axis=1, keepdims=True)).mean(axis=0)
    total = float(share @ cut_left(collars, params))
    left_days = float(share @ np.array(params.found.feeding_days)) / 2.0
    ahead = total * np.minimum(np.arange(days) / left_days, 1.0)
    stages = np.zeros((1, days, 6))
    stages[:, :, 1:5] = share
    return Outlook(np.zeros((1, 1)), ahead[None, None], np.full((1, 1), total), stages)


def found_weight(search: WalkSeen, lam: Array, params: BeliefParams) -> Array:
    """Weight (L, 1) of live larvae per 100 plants, from how many were found: gamma prior of its usual shape, thinned.

    The prior mean is that of larvae of other origin; without plants searched only their presence is known.
    """
    n = max(search.larvae_found, len(search.lengths_mm) + len(search.instars))
    effort = (search.plants_searched or 0) / 100.0 * detection(search.hour, search.soil, params)
    shape, rate = params.load_shape, params.load_shape / params.other_per_100
    counted = n if effort > 0 else 0
    some = lam[1:]
    log = (shape + counted) * np.log(some) - (rate + effort) * some  # on a log grid: λ^(a−1)·λ
    weight = np.concatenate([[0.0], np.exp(log - log.max())])
    return np.asarray((weight / weight.sum())[:, None])
