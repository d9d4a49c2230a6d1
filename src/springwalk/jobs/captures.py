"""The services' own dates beside ours: heat since each significant capture by every method, and the rule's date."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from springwalk.engine.heat import NAMED, degree_days, running_total
from springwalk.engine.timing import rule_date
from springwalk.jobs.dates import whole_day
from springwalk.jobs.flights import Heard, TrapSeason, night_of
from springwalk.jobs.params import SPAN_METHODS
from springwalk.jobs.results import Capture, DateRange, HeatSince
from springwalk.jobs.snapshot import Snapshot

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RuleDates:
    """Captures by (cell, trap or report, night), worked once for all fields that share them."""

    found: dict[tuple[int, str, int], Capture]

    def of(self, cell: int, captures: Sequence[tuple[Heard, int]]) -> tuple[Capture, ...]:
        """The captures that count for a field of a cell."""
        return tuple(self.found[(cell, heard.key, night)] for heard, night in captures)


def rule_dates(snap: Snapshot, cells: Iterable[int] | None = None) -> RuleDates:
    """Work every (cell, capture) that some field of the cells (None: of all) needs."""
    found: dict[tuple[int, str, int], Capture] = {}
    if snap.cells is None:
        return RuleDates(found)
    methods = tuple(dict.fromkeys((snap.season.heat_method, *SPAN_METHODS)))
    for cell in range(len(snap.cells.min_c)) if cells is None else cells:
        fields = np.flatnonzero(snap.cells.cell == cell).tolist()
        wanted = {(t.key, night): t for field in fields for t, night in snap.flights.captures(field)}
        if not wanted:
            continue
        low, high = snap.cells.min_c[cell], snap.cells.max_c[cell]
        totals = {name: running_total(degree_days(low, high, NAMED[name])) for name in methods}
        for (key, night), heard in wanted.items():
            found[(cell, key, night)] = _capture(snap, heard, night, totals)
    return RuleDates(found)


def _capture(snap: Snapshot, heard: Heard, night: int, totals: dict[str, Array]) -> Capture:
    first = snap.season.begins
    today = (snap.today - first).days
    by_method = []
    for name, running in totals.items():
        at = rule_date(running, night=night, today=today, wanted_ddc=snap.settings.rule_heat_ddc)
        early, mid, late = (whole_day(first, d) for d in at.day)
        by_method.append(
            HeatSince(method=name, heat_ddc=at.heat_ddc, reaches_rule=DateRange(early=early, mid=mid, late=late))
        )
    on, told = night_of(snap.season, night), tuple(by_method)
    if isinstance(heard, TrapSeason):
        return Capture(
            trap=heard.trap.name or heard.trap.id, night=on, moths=heard.window_moths(night),
            rule=heard.rule.key if heard.rule else "", by_method=told,
        )  # fmt: skip
    report = heard.report
    return Capture(
        trap=report.near or f"{report.latitude:.2f}, {report.longitude:.2f}", night=on, moths=None, rule="reported",
        by_method=told, source=report.source, nights_either_way=report.nights_either_way,
    )  # fmt: skip


def earliest_rule_date(captures: Sequence[Capture]) -> date | None:
    """The earliest median date on which any method reaches the rule after any capture."""
    dates = [h.reaches_rule.mid for c in captures for h in c.by_method if h.reaches_rule.mid]
    return min(dates) if dates else None
