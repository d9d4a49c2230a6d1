"""The search for larvae that comes before any treatment: when it has gone on long enough.

Larvae found are a thinned Poisson count. A field where none is found is not treated, however much is cut: the search
either finds one, or ends with a look again later or the field left alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaln, xlogy

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Index = NDArray[np.int64]

_RATES = np.concatenate([[0.0], np.geomspace(0.001, 20.0, 59)])
_MOST_FOUND = 12  # larvae; from here on "that or more"
_NEVER = 1e-300  # chance of a count that does not come up


@dataclass(frozen=True)
class SearchTable:
    """By batches searched m and larvae found y (the last y: that or more), for fields f, shapes (m, y, f).

    ``go_on`` search another batch; ``wait`` the best way not to treat on ending there; ``margin`` money that treating
    there loses less than that (−inf with none found); ``loss`` money expected to be lost from there, batches still to
    be paid included.
    """

    go_on: Flags
    wait: Index
    margin: Array
    loss: Array

    @property
    def treat(self) -> Flags:
        """Whether to treat on ending there (m, y, f); never with none found."""
        return np.asarray(self.margin > 0.0)


def larvae_per_search(larvae_per_100: ArrayLike, alive: ArrayLike, *, plants: float, detection: ArrayLike) -> Array:
    """Larvae expected to be found around so many plants; per 100 places, alive and found as shares (broadcast)."""
    return np.asarray(np.asarray(larvae_per_100) * np.asarray(alive) * np.asarray(detection) * plants / 100.0)


def treat_if_found(treat: Array, otherwise: Array, expected: Array, cost: ArrayLike) -> Array:
    """Losses of searching a fixed number of plants and treating only where a larva is found.

    ``treat`` and ``otherwise`` are losses of one shape, ``expected`` the larvae a search would find (broadcast),
    ``cost`` of the search (broadcast). The honest stand-in for "treat" where none has been found yet.
    """
    none = np.exp(-expected)
    return np.asarray(np.asarray(cost) + none * otherwise + (1.0 - none) * treat)


def search_tables(
    weight: Array, treat: Array, waits: Array, expected: Array, cost: ArrayLike, *, most: int,
    waits_found: Array | None = None,
) -> SearchTable:  # fmt: skip
    """When to stop searching, for fields f, from what is believed after the count.

    ``weight`` (f, L, S) sum 1; ``treat`` (f, L, S) and the ways not to, ``waits`` (f, w, L, S), losses;
    ``waits_found`` the same ways where a larva was found today (None = as without); ``expected`` (f, L, S) larvae
    found per batch of plants; ``cost`` of a batch, one for all or (f,); at most ``most`` batches.
    """
    ways = waits.shape[1]
    with_one = waits if waits_found is None else waits_found
    sums = _folded(weight, np.concatenate([treat[:, None], waits, with_one], axis=1), expected)
    each = np.broadcast_to(np.asarray(cost, np.float64), weight.shape[:1])
    found = np.arange(_MOST_FOUND + 1)
    ends = [_ending(m, sums, ways) for m in range(most + 1)]
    go = np.zeros((most + 1, len(found), len(weight)), bool)
    margin = np.stack([end.margin for end in ends])
    loss = np.stack([end.loss for end in ends])
    for m in range(most - 1, -1, -1):
        going = each + _going(m, sums[:, 0], loss[m + 1])
        go[m] = going < loss[m] - 1e-9
        loss[m] = np.where(go[m], going, loss[m])
    return SearchTable(go, np.stack([end.wait for end in ends]), margin, loss)


def _folded(weight: Array, losses: Array, expected: Array) -> Array:
    """Sums (rate, 1 + a, f) of weight and weighted losses at the common rates, split so that the mean is kept."""
    fields, actions = losses.shape[:2]
    rate = np.clip(expected, 0.0, _RATES[-1]).reshape(fields, -1)
    low = np.clip(np.searchsorted(_RATES, rate, side="right") - 1, 0, len(_RATES) - 2)
    part = (rate - _RATES[low]) / (_RATES[low + 1] - _RATES[low])
    w = weight.reshape(fields, 1, -1)
    columns = np.concatenate([w, w * losses.reshape(fields, actions, -1)], axis=1)
    sums = np.zeros((len(_RATES), actions + 1, fields))
    for f, c in np.ndindex(fields, actions + 1):
        upper = columns[f, c] * part[f]
        sums[:, c, f] = np.bincount(low[f], columns[f, c] - upper, len(_RATES))
        sums[:, c, f] += np.bincount(low[f] + 1, upper, len(_RATES))
    return sums


def _poisson(mean: Array, found: NDArray[np.int64]) -> Array:
    """Chances (found, mean) of so many, the last being that or more."""
    x = found[:, None]
    made = np.exp(xlogy(x, mean) - mean - gammaln(x + 1))
    made[-1] = np.maximum(1.0 - made[:-1].sum(axis=0), 0.0)
    return np.asarray(made)


@dataclass(frozen=True)
class _Ending:
    """Ending after m batches with y found, (y, f): the best way not to treat, what treating saves, the least loss."""

    wait: Index
    margin: Array
    loss: Array


def _ending(m: int, sums: Array, ways: int) -> _Ending:
    chance = _poisson(m * _RATES, np.arange(_MOST_FOUND + 1))
    made = np.tensordot(chance, sums, axes=1)  # (y, 2 + 2w, f)
    sure, treat = np.maximum(made[:, 0], _NEVER), made[:, 1].copy()
    treat[0] = np.inf
    waits = np.concatenate([made[:1, 2 : 2 + ways], made[1:, 2 + ways :]])
    least = waits.min(axis=1)
    return _Ending(waits.argmin(axis=1), (least - treat) / sure, np.minimum(treat, least) / sure)


def _going(m: int, weight: Array, then: Array) -> Array:
    """Loss expected (y, f) after one more batch."""
    found = np.arange(_MOST_FOUND + 1)
    now, more = _poisson(m * _RATES, found), _poisson(_RATES, found)
    loss, total = np.zeros_like(then), np.zeros_like(then)
    for extra in found.tolist():
        joint = (now * more[extra]) @ weight
        total += joint
        loss += joint * then[np.minimum(found + extra, _MOST_FOUND)]
    return np.asarray(loss / np.maximum(total, _NEVER))
