"""1,000 fields on at most 60 weather cells × 30 members: time, memory, and how the cost grows with fields."""

from __future__ import annotations

import resource
import time
from collections.abc import Callable

from benchmarks.made_up import snapshot
from springwalk.engine.assess import assess
from springwalk.jobs.sheet import sheet_of

AIM_SECONDS, AIM_GB = 4.0, 1.0


def run() -> None:
    """Print what was seen: the best of three runs of each size, since other work on the machine only adds."""
    seen = {}
    for fields in (250, 500, 1000, 2000):
        snap = snapshot(fields)
        assert snap.inputs is not None
        inputs, settings = snap.inputs, snap.settings.engine
        seen[fields] = (_best(lambda i=inputs, s=settings: assess(i, s)), _best(lambda s=snap: sheet_of(s)))
        cells, members = snap.inputs.min_c.shape[:2]
        print(
            f"{fields:5d} fields, {cells} cells × {members} members: assessment {seen[fields][0]:5.2f} s,"
            f" whole sheet {seen[fields][1]:5.2f} s"
        )
    gb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(f"peak memory {gb:.2f} GB (aim < {AIM_GB:g})")
    print(f"1,000-field sheet {seen[1000][1]:.2f} s (aim < {AIM_SECONDS:g})")
    print(f"growth: 2,000 fields cost {seen[2000][1] / seen[1000][1]:.2f} × 1,000 fields (2 = linear)")


def _best(work: Callable[[], object], runs: int = 3) -> float:
    seconds = []
    for _ in range(runs):
        started = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - started)
    return min(seconds)


if __name__ == "__main__":
    run()
