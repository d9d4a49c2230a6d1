"""500 fields on one morning: belief, stop tables with coming back, and what each visit is worth; seconds and growth."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from benchmarks.made_up import TODAY, snapshot
from springwalk.engine.belief_seen import make_grid
from springwalk.engine.hazard import hazards
from springwalk.jobs.believed import Believed, on_hazard
from springwalk.jobs.snapshot import Snapshot
from springwalk.jobs.terms import Hours, Terms, terms_of
from springwalk.jobs.worth import worth_of
from springwalk.records import Stop, Walk

AIM_SECONDS = 4.0
WALKED = 0.2
"""Share of the fields walked before."""


@dataclass(frozen=True)
class Seen:
    """Seconds of one morning by step."""

    fields: int
    hazard: float
    belief: float
    values: float
    with_value: int

    @property
    def whole(self) -> float:
        """All of it."""
        return self.hazard + self.belief + self.values


def walked(snap: Snapshot, seed: int = 3) -> Snapshot:
    """The made-up season with some fields walked in the days before: five stops of twenty, most of them clean."""
    rng = np.random.default_rng(seed)
    walks = {}
    for field in snap.fields:
        if rng.random() > WALKED:
            continue
        day = TODAY - timedelta(days=int(rng.integers(1, 6)))
        cuts = rng.poisson(rng.choice([0.0, 0.2, 1.0], p=[0.7, 0.2, 0.1]), 5)
        stops = tuple(Stop(places=20, fresh_cut_at=int(min(cut, 20))) for cut in cuts)
        walks[field.id] = (Walk(id=f"w-{field.id}", field=field.id, walked=day, stops=stops),)
    return replace(snap, walks=walks)


def play(fields: int) -> Seen:
    """One morning of so many fields."""
    snap = walked(snapshot(fields))
    assert snap.inputs is not None
    terms = terms_of(snap.season)
    units = tuple(range(len(snap.units)))
    began = time.perf_counter()
    hazard = hazards(snap.inputs, snap.settings.engine, np.array(units), make_grid().shifts_ddc)
    then = time.perf_counter()
    known = on_hazard(snap, units, hazard)
    after = time.perf_counter()
    made = _values(snap, known, terms)
    return Seen(fields, then - began, after - then, time.perf_counter() - after, made)


def _values(snap: Snapshot, known: Believed, terms: Terms) -> int:
    assert terms.said is not None
    return sum(one.prize > 0 for one in worth_of(snap, known, terms, Hours(terms.said.wage_usd_h)))


def run() -> None:
    """Print what was seen; the second run of each size, since the first makes the tables of chances."""
    play(50)
    seen = {fields: play(fields) for fields in (250, 500, 1000)}
    for fields, one in seen.items():
        print(
            f"{fields:5d} fields: {one.whole:5.2f} s (hazard {one.hazard:.2f}, belief {one.belief:.2f}, values"
            f" {one.values:.2f}), {one.with_value} fields where a visit pays its stops"
        )
    print(f"500 fields {seen[500].whole:.2f} s (aim {AIM_SECONDS:g})")
    print(f"growth: 1,000 fields cost {seen[1000].whole / seen[500].whole:.2f} × 500 (2 = linear)")


if __name__ == "__main__":
    run()
