"""1,000 fields on at most 60 weather cells × 30 members: time, memory, and how the cost grows with fields."""

from __future__ import annotations

import resource
import time

from benchmarks.made_up import snapshot
from springwalk.engine.assess import assess
from springwalk.jobs.sheet import sheet_of

AIM_SECONDS, AIM_GB = 4.0, 1.0


def run() -> None:
    """Print what was seen."""
    seen = {}
    for fields in (250, 500, 1000, 2000):
        started = time.perf_counter()
        snap = snapshot(fields)
        built = time.perf_counter()
        assert snap.inputs is not None
        assess(snap.inputs, snap.settings.engine)
        assessed = time.perf_counter()
        sheet = sheet_of(snap)
        done = time.perf_counter()
        seen[fields] = (assessed - built, done - assessed)
        cells, members = snap.inputs.min_c.shape[:2]
        print(
            f"{fields:5d} fields, {cells} cells × {members} members: arrays {built - started:5.2f} s (with making them"
            f" up), assessment {assessed - built:5.2f} s, whole sheet {done - assessed:5.2f} s,"
            f" {len(sheet.rows)} to walk"
        )
    gb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(f"peak memory {gb:.2f} GB (aim < {AIM_GB:g})")
    print(f"1,000-field sheet {seen[1000][1]:.2f} s (aim < {AIM_SECONDS:g})")
    print(f"growth: 2,000 fields cost {seen[2000][1] / seen[1000][1]:.2f} × 1,000 (2 = linear)")


if __name__ == "__main__":
    run()
