"""500 fields on one morning, a fifth of them walked: from records to what each visit is worth; CPU s and growth."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from benchmarks.made_up import TODAY, told_of
from springwalk.engine.belief_seen import make_grid
from springwalk.engine.hazard import hazards
from springwalk.jobs.advise import advise_of
from springwalk.jobs.believed import Believed, on_hazard
from springwalk.jobs.fit import fit_on
from springwalk.jobs.snapshot import Snapshot, build
from springwalk.jobs.terms import Hours, Terms, terms_of
from springwalk.jobs.worth import worth_of

AIM_SECONDS = 4.0
WALKED = 0.2
"""Share of the fields walked before."""
SIZES = (250, 500, 1000, 2000)


@dataclass(frozen=True)
class Seen:
    """CPU seconds of one morning by step; ``advice`` is no part of the whole, since it makes its own belief."""

    fields: int
    build: float
    hazard: float
    belief: float
    values: float
    advice: float
    with_value: int
    walks: int

    @property
    def whole(self) -> float:
        """From a built snapshot to the values."""
        return self.hazard + self.belief + self.values


def play(fields: int) -> Seen:
    """One morning of so many fields."""
    told, rows = told_of(fields, walked=WALKED)
    times = [time.process_time()]
    snap = build(told, rows, today=TODAY)
    times.append(time.process_time())
    assert snap.inputs is not None
    terms = terms_of(snap.season)
    units = tuple(range(len(snap.units)))
    hazard = hazards(snap.inputs, snap.settings.engine, np.array(units), make_grid().shifts_ddc)
    times.append(time.process_time())
    known = on_hazard(snap, units, hazard)
    times.append(time.process_time())
    assert known.walks, "the walks of the made-up season reach no belief: nothing of them is measured"
    made = _values(snap, known, terms)
    times.append(time.process_time())
    advise_of(snap, terms)
    times.append(time.process_time())
    return Seen(fields, *np.diff(times).tolist(), with_value=made, walks=len(known.walks))


def _values(snap: Snapshot, known: Believed, terms: Terms) -> int:
    assert terms.said is not None
    return sum(one.prize > 0 for one in worth_of(snap, known, terms, Hours(terms.said.wage_usd_h), fit_on(snap)))


def run() -> None:
    """Print what was seen; a small morning goes before, since the first makes the tables of chances."""
    play(50)
    seen = {fields: play(fields) for fields in SIZES}
    for fields, one in seen.items():
        print(
            f"{fields:5d} fields, {one.walks} walked: {one.whole:5.2f} CPU s (hazard {one.hazard:.2f}, belief"
            f" {one.belief:.2f}, values {one.values:.2f}); snapshot {one.build:.2f}, advice {one.advice:.2f};"
            f" {one.with_value} fields where a visit pays its stops"
        )
    print(f"500 fields {seen[500].whole:.2f} CPU s (aim {AIM_SECONDS:g})")
    for step in ("whole", "build", "belief", "advice"):
        growth = getattr(seen[2000], step) / getattr(seen[1000], step)
        print(f"growth of {step}: 2,000 fields cost {growth:.2f} × 1,000 (2 = linear)")


if __name__ == "__main__":
    run()
