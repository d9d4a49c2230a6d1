"""What coming back on a later day costs and saves, as losses that stand beside those of acting today.

A later visit is taken to be a fixed number of stops, after which the field is treated if that many places or more are
cut. Each such rule has a loss under every hypothesis, so it is one more action; the least of them all is the least over
what may be done after the later look, whatever today's count has shown by then.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from springwalk.engine.stopping_counts import CountParams, likeness, stop_chances, total_chances
from springwalk.engine.stopping_grid import CUTS, SHARES, between

Array = NDArray[np.float64]

TREAT_FROM = (1, 2, 3, 5, 8, 12, 18, 27)
"""Cut places found on the later day from which the field is then treated, one rule each."""


def come_back(
    leave: Array,
    treat: Array,
    cut_share: Array,
    cuts_per_larva: Array,
    cost: ArrayLike,
    *,
    stops: int,
    params: CountParams,
) -> Array:
    """Losses (f, t, L, S) of coming back on a later day, one for each rule of `TREAT_FROM`.

    ``leave`` and ``treat`` (f, L, S) money lost where the field is left or treated after the later look, from today on;
    ``cut_share`` (f, L, S) and ``cuts_per_larva`` (f, S) as a walk sees them on that day; ``cost`` of the later visit
    with its stops, one for all or (f,).
    """
    above = chance_of_more(cut_share, cuts_per_larva, stops=stops, params=params)
    each = np.broadcast_to(np.asarray(cost, np.float64), leave.shape[:1])[:, None, None, None]
    kept, gained = leave[:, None], (treat - leave)[:, None]
    return np.asarray(each + kept + np.moveaxis(above, -1, 1) * gained)


def chance_of_more(cut_share: Array, cuts_per_larva: Array, *, stops: int, params: CountParams) -> Array:
    """Chance (f, L, S, t) that ``stops`` stops together show as many cut places as each rule of `TREAT_FROM` asks."""
    table = _table(stops, params)
    low_p, part_p = between(SHARES, cut_share)
    low_k, part_k = between(CUTS, np.broadcast_to(cuts_per_larva[:, None, :], cut_share.shape))
    part_p, part_k = part_p[..., None], part_k[..., None]
    lower = (1.0 - part_k) * table[low_p, low_k] + part_k * table[low_p, low_k + 1]
    upper = (1.0 - part_k) * table[low_p + 1, low_k] + part_k * table[low_p + 1, low_k + 1]
    return np.asarray((1.0 - part_p) * lower + part_p * upper)


@cache
def _table(stops: int, params: CountParams) -> Array:
    """The chances at the common shares and cuts (40, 6, t)."""
    share, cuts = SHARES[:, None], CUTS[None, :]
    total = total_chances(stop_chances(share, likeness(share, cuts, params), params), stops)
    below = np.cumsum(total, axis=-1)[..., np.minimum(np.array(TREAT_FROM) - 1, total.shape[-1] - 1)]
    return np.clip(1.0 - below, 0.0, 1.0)
