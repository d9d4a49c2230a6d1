"""Made-up fields to count in, at three times of the feeding, and what advice loses in them.

They are not drawn from the beta-binomial of the stop table: larvae lie in patches, each cuts its own number of plants,
a plant is cut once, and miscounts come on top. Money lost is what the advice loses beyond that of one who knows the
field.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.stats import gamma, norm

from springwalk.jobs.params_stopping import count_params

Array = NDArray[np.float64]
Index = NDArray[np.int64]

PARAMS = count_params()
LARVAE = np.concatenate([[0.0], np.geomspace(0.05, 60.0, 48)])
SHIFTS_F = np.arange(-150.0, 151.0, 15.0)
SHIFT_SD_F = float(np.hypot(25.0, 14.0))
FEEDING_DONE = {"early": 0.2, "middle": 0.5, "late": 0.8}
LIFE_CUTS, PACE_F, TWO_DAYS_F = 4.0, 55.0, 30.0
FIELD_MONEY, TREAT_MONEY, KILL, PLANT_LOSS = 800.0 * 80, 16.0 * 80, 0.9, 0.65
ANY, MEAN, SHAPE = 0.19, 2.5, 0.9


@dataclass(frozen=True)
class Day:
    """One time of the feeding: cuts per larva (S,), all and fresh, losses (2, L, S) of leave and treat."""

    past: Array
    fresh: Array
    losses: Array

    def seen(self, *, fresh: bool) -> tuple[Array, Array]:
        """Share of places (L, S) and cuts per larva (S,) that a walk counts; a place cut before is not cut afresh."""
        if fresh:
            return share_cut(self.past) - share_cut(self.past - self.fresh), self.fresh
        return share_cut(self.past), self.past


@dataclass(frozen=True)
class Fields:
    """Fields as they are: indices into the grid, and places cut at each stop (r, k), fresh (miscounts too), all."""

    larva: Index
    shift: Index
    fresh: Index
    cut: Index


def share_cut(cuts: Array) -> Array:
    """Share of places cut (L, S) by the larvae of the grid."""
    return np.asarray(-np.expm1(-LARVAE[:, None] * cuts / 100.0))


def cuts_by(heat_f: Array) -> Array:
    """Plants one larva has cut by so much heat after the middle of the feeding (made up: a logistic curve)."""
    return np.asarray(LIFE_CUTS / (1.0 + np.exp(-heat_f / PACE_F)))


@cache
def day(name: str) -> Day:
    """One of the three times of the feeding."""
    done = FEEDING_DONE[name]
    return day_at(float(PACE_F * np.log(done / (1.0 - done))), FIELD_MONEY)


def day_at(heat_f: float, money: float) -> Day:
    """So much heat after the middle of the feeding, in a field that is worth so much."""
    heat = heat_f - SHIFTS_F
    past = cuts_by(heat)
    leave = money * PLANT_LOSS * share_cut(LIFE_CUTS - past)
    losses = np.stack([leave, TREAT_MONEY + (1.0 - KILL) * leave])
    return Day(past, past - cuts_by(heat - TWO_DAYS_F), losses)


def prior(times: float = 1.0) -> Array:
    """What is believed before any count (L, S): the share of fields with larvae multiplied by ``times``."""
    edges = np.concatenate([[0.0], np.sqrt(LARVAE[1:-1] * LARVAE[2:]), [np.inf]])
    some = np.diff(gamma.cdf(edges, SHAPE, scale=MEAN / SHAPE))
    larvae = np.concatenate([[1.0 - ANY * times], ANY * times * some])
    shift = norm.pdf(SHIFTS_F / SHIFT_SD_F)
    return np.asarray(larvae[:, None] * shift / shift.sum())


@cache
def made_up(name: str, fields: int, seed: int) -> Fields:
    """Fields drawn one by one: patches, larvae, their cuts old and fresh, plants cut once, miscounts."""
    rng = np.random.default_rng([seed, *name.encode()])
    at = rng.choice(prior().size, size=fields, p=prior().ravel())
    larva, shift = np.unravel_index(at, prior().shape)
    now, n, shape = day(name), PARAMS.places, (fields, PARAMS.most_stops)
    patch = rng.gamma(PARAMS.patch_shape, 1.0 / PARAMS.patch_shape, shape)
    larvae = rng.poisson(n * LARVAE[larva][:, None] / 100.0 * patch)
    eagerness = rng.gamma(np.maximum(larvae, 1e-9) / PARAMS.larva_cv2, PARAMS.larva_cv2)
    old = _cut_once(rng, np.zeros(shape, np.int64), rng.poisson((now.past - now.fresh)[shift][:, None] * eagerness), n)
    both = _cut_once(rng, old, rng.poisson(now.fresh[shift][:, None] * eagerness), n)
    mistaken = rng.binomial(n - both, PARAMS.background)
    return Fields(larva, shift, both - old + mistaken, both + mistaken)


def _cut_once(rng: np.random.Generator, cut: Index, tries: Index, n: int) -> Index:
    """Each try is at a place at random; a place already cut is not cut again."""
    cut = cut.copy()
    for t in range(int(tries.max(initial=0))):
        rows = np.nonzero(tries > t)
        cut[rows] += rng.random(len(rows[0])) >= cut[rows] / n
    return cut


def lost(name: str, fields: Fields, action: Index) -> Array:
    """Money lost beyond that of one who knows the field (r,)."""
    at = day(name).losses[:, fields.larva, fields.shift]
    return np.asarray(at[action, np.arange(len(action))] - at.min(axis=0))


def wrong(name: str, fields: Fields, action: Index) -> tuple[float, float]:
    """Shares of fields treated though it did not pay, and left though it would have paid."""
    best = day(name).losses[:, fields.larva, fields.shift].argmin(axis=0)
    return float(((action == 1) & (best == 0)).mean()), float(((action == 0) & (best == 1)).mean())
