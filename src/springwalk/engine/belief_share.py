"""What fields say about each other: an exact mixture over what is common to a season.

Common to a season (η): the log odds that a field has any larvae, the log of the mean load where there are some, and a
shift of the whole brood's clock. A field's belief mixes its priors given η with the odds of η from all *other* fields.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, gammainc, logsumexp

from springwalk.engine.belief_seen import BeliefParams, Grid

Array = NDArray[np.float64]

NODES = (9, 6, 7)
LEAST_RELATIVE, MOST_RELATIVE = 0.02, 20.0
"""A field without eggs of ours may still have some (a flight nobody saw): belief never starts from nothing."""


@dataclass(frozen=True)
class Season:
    """Nodes of η: ``log_odds`` (9,), ``log_mean`` (6,), ``shift_ddc`` (7,), and ``log_prior`` (9, 6, 7)."""

    log_odds: Array
    log_mean: Array
    shift_ddc: Array
    log_prior: Array


@dataclass(frozen=True)
class Priors:
    """Priors given η, in two parts that multiply: ``load`` (u, 54, L) and ``shift`` (7, S); rows sum to 1."""

    load: Array
    shift: Array

    def of(self, weight: Array) -> Array:
        """The prior (u, L, S) when η has this weight (9, 6, 7)."""
        by_node = weight.reshape(-1, NODES[2])
        return np.asarray(np.einsum("uhl,hk,ks->uls", self.load, by_node, self.shift, optimize=True))


def season_nodes(params: BeliefParams) -> Season:
    """Evenly spaced nodes of three independent normals, with their spreads kept."""
    nodes = [_normal(n) for n in NODES]
    odds, mean = params.any_log_odds, params.log_mean
    log_prior = sum(np.log(w).reshape([-1 if k == axis else 1 for k in range(3)]) for axis, (_, w) in enumerate(nodes))
    return Season(
        log_odds=odds[0] + odds[1] * nodes[0][0],
        log_mean=mean[0] + mean[1] * nodes[1][0],
        shift_ddc=params.season_shift_sd_ddc * nodes[2][0],
        log_prior=np.asarray(log_prior),
    )


def _normal(n: int) -> tuple[Array, Array]:
    z = np.linspace(-2.5, 2.5, n)
    weight = np.exp(-0.5 * z**2)
    weight /= weight.sum()
    return z / np.sqrt(weight @ z**2), weight


def relative_load(larvae_per_100: Array, params: BeliefParams) -> Array:
    """Each unit's own expectation from flight, cover and tillage, against a usual field (u,), held to 0.02 … 20."""
    return np.clip(np.asarray(larvae_per_100) / params.usual_per_100, LEAST_RELATIVE, MOST_RELATIVE)


def load_prior(log_odds: Array, log_mean: Array, relative: Array, grid: Grid, shape: float) -> Array:
    """Weights of the load, (u, n, L), for n pairs of log odds and log mean (n,) and relative expectations (u,).

    The odds of any larvae and the mean load where there are some are each multiplied by the root of ``relative``, so
    that the load expected goes with ``relative`` itself where larvae are rare. The gamma is cut into the grid's cells.
    """
    half = 0.5 * np.log(relative)[:, None]
    any_larvae = expit(log_odds[None, :] + half)
    inner = np.sqrt(grid.lam[1:-1] * grid.lam[2:])
    edges = np.concatenate([[0.0], inner, [np.inf]])
    kinds, back = np.unique(log_mean[None, :] + half, return_inverse=True)  # one gamma for each mean, not each pair
    cells = np.diff(gammainc(shape, shape * edges / np.exp(kinds)[:, None]), axis=1)
    some = cells[back.reshape(any_larvae.shape)]
    return np.concatenate([1.0 - any_larvae[..., None], any_larvae[..., None] * some], axis=-1)


def shift_prior(season_shift_ddc: Array, grid: Grid, sd_ddc: float) -> Array:
    """Weights of a field's shift (k, S) about each season shift (k,)."""
    z = (grid.shifts_ddc[None, :] - season_shift_ddc[:, None]) / sd_ddc
    weight = np.exp(-0.5 * z**2)
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def priors(season: Season, relative: Array, grid: Grid, params: BeliefParams) -> Priors:
    """Every unit's priors at every node of the season."""
    odds, mean = np.repeat(season.log_odds, NODES[1]), np.tile(season.log_mean, NODES[0])
    load = load_prior(odds, mean, relative, grid, params.load_shape)
    return Priors(load, shift_prior(season.shift_ddc, grid, params.field_shift_sd_ddc))


def share(log_likelihood: Array, walked: NDArray[np.int64], prior: Priors, season: Season) -> tuple[Array, Array]:
    """Belief (u, L, S) of every unit and the odds of η (9, 6, 7), from log likelihoods (w, L, S) of walked units.

    p(η) ∝ prior · Π M_f(η) and belief_f ∝ L_f · Σ_η p(η) · prior_f(·|η) / M_f(η): each field meets what all others say
    and its own walks once. Exact on the grid, whatever the order of the fields.
    """
    like, log_m = _node_likelihood(log_likelihood, prior, walked)
    log_p = season.log_prior + log_m.sum(axis=0)
    log_p = log_p - logsumexp(log_p)
    belief = prior.of(np.exp(log_p))
    if len(walked):
        log_rest = log_p[None] - log_m
        log_rest -= log_rest.max(axis=(1, 2, 3), keepdims=True)
        rest = np.exp(log_rest).reshape(len(walked), -1, NODES[2])
        loads = np.matmul(prior.load[walked].transpose(0, 2, 1), rest)  # (w, L, 7)
        belief[walked] = like * np.matmul(loads, prior.shift)
    return belief / belief.sum(axis=(1, 2), keepdims=True), np.exp(log_p)


def _node_likelihood(log_likelihood: Array, prior: Priors, walked: NDArray[np.int64]) -> tuple[Array, Array]:
    """Likelihoods scaled to a top of 1 (w, L, S) and log M_f(η) (w, 9, 6, 7), each up to a factor of its own."""
    if not len(walked):
        return np.zeros((0, *log_likelihood.shape[1:])), np.zeros((0, *NODES))
    like = np.exp(log_likelihood - log_likelihood.max(axis=(1, 2), keepdims=True))
    by_node = np.matmul(np.matmul(prior.load[walked], like), prior.shift.T)
    return like, np.log(np.maximum(by_node, 1e-300)).reshape(-1, *NODES)


def log_evidence(log_likelihood: Array, walked: NDArray[np.int64], prior: Priors, season: Season) -> float:
    """Log chance of all that was seen in the season, η and every field's load and shift summed out."""
    _, log_m = _node_likelihood(log_likelihood, prior, walked)
    return float(logsumexp(season.log_prior + log_m.sum(axis=0)) + log_likelihood.max(axis=(1, 2)).sum())
