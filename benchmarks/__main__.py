"""``make bench``: every benchmark in turn."""

from __future__ import annotations

from benchmarks import thousand_fields

thousand_fields.run()
