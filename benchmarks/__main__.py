"""``make bench``: every benchmark in turn."""

from __future__ import annotations

from benchmarks import calibration, day, morning_values, stopping, thousand_fields

for bench in (thousand_fields, morning_values, calibration, stopping, day):
    print(f"\n{bench.__name__}")
    bench.run()
