"""Is belief as sure as it may be? Made-up seasons drawn from the engine's own prior, larva by larva.

A season draws η, its fields draw load and shift, and every stop is played with single larvae: patches, appetites,
plants that are cut once, leaf marks of the same larvae, miscounts, misread ages. Belief then says where the truth lies,
and the share of truths inside its middle 80 % is counted. Two known faults are run on the same seasons to show that
the count can fail: plants taken as independent, and the season's common part taken as known.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.belief import (
    BeliefParams,
    Grid,
    StopSeen,
    UnitHazard,
    WalkSeen,
    log_likelihood,
    make_grid,
    of_unit,
)
from springwalk.engine.belief_larvae import detection
from springwalk.engine.belief_seen import FRESH_DAYS
from springwalk.engine.belief_share import (
    NODES,
    Priors,
    Season,
    load_prior,
    priors,
    relative_load,
    season_nodes,
    share,
    shift_prior,
)
from springwalk.engine.hazard import Hazard

Array = NDArray[np.float64]
Rng = np.random.Generator

PLACES, SEARCHED = 20, 50
KINDS = ("engine", "plain binomial", "plug-in")
BARS = (
    ("engine", "cut", 77, 83), ("engine", "cut given 3 seen", 75, 85), ("engine", "shift", 76, 84),
    ("plain binomial", "cut given 3 seen", 0, 72), ("plug-in", "shift", 0, 65),
)  # fmt: skip
"""Per cent inside: belief must hold, and the two faults must show."""
WHATS = ("cut", "cut given 3 seen", "shift", "season shift")


@dataclass(frozen=True)
class Made:
    """One field of a made-up season: its truth (places on the grid) and its walks."""

    hazard: UnitHazard
    lam: int
    shift: int
    walks: tuple[WalkSeen, ...]

    @property
    def cut_seen(self) -> int:
        """Plants seen cut, over all walks."""
        return sum(s.cut_fresh + s.cut_old for w in self.walks for s in w.stops)


@dataclass(frozen=True)
class World:
    """What all made-up seasons share."""

    hazards: tuple[UnitHazard, ...]
    relative: Array
    first_day: int
    last_day: int
    grid: Grid
    params: BeliefParams


def make_world(hazard: Hazard, larvae_per_100: Array, first_day: int, last_day: int, params: BeliefParams) -> World:
    """Fields are drawn from the units of a worked season; walks fall on ``first_day`` … ``last_day``."""
    units = [u for u in range(len(hazard.cut)) if hazard.cut[u].max() > 0]
    return World(
        hazards=tuple(of_unit(hazard, u) for u in units),
        relative=relative_load(larvae_per_100[units], params),
        first_day=first_day,
        last_day=last_day,
        grid=make_grid(),
        params=params,
    )


def draw_season(world: World, fields: int, rng: Rng) -> tuple[float, Array, list[Made]]:
    """(season shift °C·day, relative loads (f,), the fields) of one season."""
    p, grid = world.params, world.grid
    odds = rng.normal(*p.any_log_odds)
    mean = rng.normal(*p.log_mean)
    season_shift = rng.normal(0.0, p.season_shift_sd_ddc)
    which = rng.integers(len(world.hazards), size=fields)
    loads = load_prior(np.array([odds]), np.array([mean]), world.relative[which], grid, p.load_shape)[:, 0]
    shifts = shift_prior(np.array([season_shift]), grid, p.field_shift_sd_ddc)[0]
    made = []
    for f, u in enumerate(which.tolist()):
        lam, shift = int(rng.choice(len(grid.lam), p=loads[f])), int(rng.choice(len(shifts), p=shifts))
        walks = tuple(_walks(world, world.hazards[u], f, lam, shift, rng))
        made.append(Made(world.hazards[u], lam, shift, walks))
    return season_shift, world.relative[which], made


def _walks(world: World, hazard: UnitHazard, f: int, lam: int, shift: int, rng: Rng) -> Iterator[WalkSeen]:
    p, load = world.params, float(world.grid.lam[lam])
    level = float(rng.choice(p.leaf_levels, p=p.leaf_weights))
    other = bool(rng.random() < p.other_prior)
    day = int(rng.integers(world.first_day, world.last_day))
    for k in range(int(rng.integers(1, 3))):
        on = day + k * int(rng.integers(4, 9))
        stops = tuple(_stop(hazard, load, shift, on, level, p, rng) for _ in range(5))
        lengths = tuple(_larvae(hazard, load, shift, on, other, p, rng))
        yield WalkSeen(f, on, stops, len(lengths), SEARCHED, 10, "moist", lengths)


def _stop(hazard: UnitHazard, load: float, shift: int, day: int, level: float, p: BeliefParams, rng: Rng) -> StopSeen:
    old_k, all_k = (p.cut_found * hazard.cut_by(d)[shift] for d in (day - FRESH_DAYS, day))
    leaf_k = p.marks_per_larva * hazard.leaf_by(day)[shift]
    larvae = rng.poisson(PLACES * load / 100.0 * rng.gamma(p.patch_shape, 1.0 / p.patch_shape))
    appetite = rng.gamma(1.0 / p.cut_spread, p.cut_spread, larvae).sum()
    old = _plants(rng.poisson(appetite * old_k), rng)
    fresh = _plants(rng.poisson(appetite * (all_k - old_k)), rng) & ~old
    untrue = (rng.random(PLACES) < p.background) & ~old & ~fresh
    as_fresh = rng.random(PLACES) < p.false_fresh
    old, fresh = old | (untrue & ~as_fresh), fresh | (untrue & as_fresh)
    slip = rng.random(PLACES) < p.age_misread
    called_fresh = np.where(slip, old, fresh)
    leaf = (_plants(rng.poisson(appetite * leaf_k), rng) | (rng.random(PLACES) < level)) & ~(old | fresh)
    cut = int((old | fresh).sum())
    return StopSeen(PLACES, int(called_fresh.sum()), cut - int(called_fresh.sum()), int(leaf.sum()))


def _plants(hits: int, rng: Rng) -> NDArray[np.bool_]:
    struck = np.zeros(PLACES, bool)
    struck[rng.integers(PLACES, size=hits)] = True
    return struck


def _larvae(
    hazard: UnitHazard, load: float, shift: int, day: int, other: bool, p: BeliefParams, rng: Rng
) -> Iterator[float]:
    found = SEARCHED / 100.0 * detection(10, "moist", p) * np.array(p.sizes.found)
    expected = found * load * hazard.stages[shift, day, 1:5]
    if other:
        expected = expected + found * p.other_per_100 * np.array(p.sizes.other)
    for stage, count in enumerate(rng.poisson(expected)):
        yield from np.abs(rng.normal(p.sizes.mean_mm[stage], p.sizes.sd_mm[stage], count)).tolist()


def place_of_truth(values: Array, weight: Array, truth: float, rng: Rng) -> float:
    """Randomised PIT: where the truth lies among weighted values, ties broken at random."""
    below, same = weight[values < truth - 1e-12].sum(), weight[np.abs(values - truth) <= 1e-12].sum()
    return float((below + rng.random() * same) / weight.sum())


def places(world: World, seasons: int, *, fields: int, seed: int) -> dict[tuple[str, str], list[float]]:
    """Where the truths lie (0–1) by (kind of belief, what): see KINDS and WHATS."""
    rng, out = np.random.default_rng(seed), {(kind, what): [] for kind in KINDS for what in WHATS}
    plain = replace(world.params, cut_spread=-1.0, patch_shape=1e12)  # VMR = 1: plants taken as independent
    season = season_nodes(world.params)
    for _ in range(seasons):
        season_shift, relative, made = draw_season(world, fields, rng)
        prior = priors(season, relative, world.grid, world.params)
        walked = np.arange(fields)
        for kind in KINDS:
            params = plain if kind == "plain binomial" else world.params
            logs = np.stack([log_likelihood(m.walks, m.hazard, world.grid, params) for m in made])
            belief, eta = share(logs, walked, prior, season)
            if kind == "plug-in":
                belief, eta = plug_in(logs, prior, eta)
            _judge(out, kind, world.grid, made, belief, rng)
            by_shift = eta.sum(axis=(0, 1))
            # The truth is continuous, the nodes are not: spread it over the node's cell.
            step = season.shift_ddc[1] - season.shift_ddc[0]
            edges = np.concatenate([season.shift_ddc - step / 2, [season.shift_ddc[-1] + step / 2]])
            out[kind, "season shift"].append(
                float(np.interp(season_shift, edges, np.concatenate([[0.0], np.cumsum(by_shift)])))
            )
    return out


def plug_in(logs: Array, prior: Priors, eta: Array) -> tuple[Array, Array]:
    """The fault: every field's belief at the one likeliest η, as if it were known."""
    sure = np.zeros(NODES)
    sure[np.unravel_index(np.argmax(eta), NODES)] = 1.0
    belief = prior.of(sure) * np.exp(logs - logs.max(axis=(1, 2), keepdims=True))
    return belief / belief.sum(axis=(1, 2), keepdims=True), sure


def _judge(
    out: dict[tuple[str, str], list[float]], kind: str, grid: Grid, made: list[Made], belief: Array, rng: Rng
) -> None:
    for m, weight in zip(made, belief, strict=True):
        cut = grid.lam[:, None] * m.hazard.cut[:, -1][None, :]
        at = place_of_truth(cut.ravel(), weight.ravel(), float(cut[m.lam, m.shift]), rng)
        out[kind, "cut"].append(at)
        if m.cut_seen >= 3:
            out[kind, "cut given 3 seen"].append(at)
        by_shift = weight.sum(axis=0)
        out[kind, "shift"].append(place_of_truth(grid.shifts_ddc, by_shift, float(grid.shifts_ddc[m.shift]), rng))


def inside(at: list[float], level: float = 0.8) -> float:
    """Per cent of truths inside the middle ``level`` of belief."""
    tail = (1.0 - level) / 2.0
    return 100.0 * float(np.mean([tail <= value <= 1.0 - tail for value in at])) if at else float("nan")


def example_world() -> World:
    """The made-up season of the other benchmarks: its fields, its weather, walks from mid-May to early June."""
    from benchmarks.made_up import snapshot
    from springwalk.engine.draws import central_draws
    from springwalk.engine.hazard import hazards
    from springwalk.engine.working import work_cell
    from springwalk.jobs.params_belief import belief_params

    snap = snapshot(12, seed=4)
    assert snap.inputs is not None
    inputs, params = snap.inputs, snap.settings.engine
    units = np.arange(len(inputs.cell))
    hazard = hazards(inputs, params, units, make_grid().shifts_ddc)
    larvae = np.zeros(len(units))
    for c in np.unique(inputs.cell).tolist():
        mine = units[inputs.cell == c]
        worked = work_cell(inputs, params, central_draws(inputs.min_c.shape[1]), c, mine)
        larvae[mine] = worked.larvae_per_100
    middle = hazard.cut[:, 10]
    begins = [int(np.argmax(cut > 0.02 * cut[-1])) for cut in middle if cut[-1] > 0]
    return make_world(hazard, larvae, min(begins) - 8, max(begins) + 14, belief_params())


def run(seasons: int = 500) -> None:
    """Print the shares inside 80 % with 12 and with 3 fields walked, and how long one season of 60 fields takes."""
    world = example_world()
    for fields in (12, 3):
        at = places(world, seasons, fields=fields, seed=20160520 + fields)
        print(f"{seasons} seasons, {fields} fields walked; truths inside 80 % belief:")
        for kind in KINDS:
            print(f"  {kind:15s} " + ", ".join(f"{w} {inside(at[kind, w]):.1f} % of {len(at[kind, w])}" for w in WHATS))
        for name, what, least, most in BARS:
            share_inside = inside(at[name, what])
            held = "held" if least <= share_inside <= most else "MISSED"
            print(f"  {held}: {name}, {what}: {share_inside:.1f} % (bar {least}–{most} %)")
    _time(world)


def _time(world: World) -> None:
    rng = np.random.default_rng(1)
    _, relative, made = draw_season(world, 500, rng)
    season: Season = season_nodes(world.params)
    started = time.perf_counter()
    logs = np.stack([log_likelihood(m.walks, m.hazard, world.grid, world.params) for m in made])
    likelihoods = time.perf_counter() - started
    prior = priors(season, relative[:60], world.grid, world.params)
    started = time.perf_counter()
    share(logs[:60], np.arange(60), prior, season)
    print(f"likelihoods of 500 walked fields {likelihoods:.2f} s; sharing over 60 fields "
          f"{1000 * (time.perf_counter() - started):.1f} ms")  # fmt: skip


if __name__ == "__main__":
    run(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
