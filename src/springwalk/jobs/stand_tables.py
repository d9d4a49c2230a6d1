"""Tables to the engine's stand tables: each named comparison, its default by state, and the cost of missing plants."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import cast, get_args

import numpy as np

from springwalk.engine.stand import CountRule
from springwalk.engine.stand_yield import Form, LossParams, Pattern, YieldTable, filled
from springwalk.errors import BadValue
from springwalk.jobs.params import STATES
from springwalk.tables import cite, number, rows
from springwalk.units import ACRES_PER_HA

FULLEST = "illinois_1994"
"""The default where no state is told or it has no table: the one with every cell printed."""
COMPOSED_ON = "30 Apr"
"""Row of the fullest table whose stands a table of dates alone is laid on: the best date to within half a point."""
_DATE_YEAR = 2001  # any year: the tables know only the day, and none begins before March
_MORE_STATES = {"OH": "Ohio"}


@dataclass(frozen=True)
class Named:
    """One comparison: the table of the stand there is, that of the replant, and the stand above which it is weak."""

    key: str
    title: str
    states: tuple[str, ...]
    year: int
    now: YieldTable
    replant: YieldTable
    warn_above_per_ha: float
    blanks_filled: bool
    mark: str
    source: str


def day_number(when: date) -> int:
    """Days after 30 April of the same year: 1 May is 1, 25 April −5."""
    return (when - date(when.year, 4, 30)).days


@cache
def named_tables() -> tuple[Named, ...]:
    """Every comparison there is, newest first."""
    made = [_named(row) for row in rows("stand_tables")]
    return tuple(sorted(made, key=lambda one: -one.year))


def in_order(state: str = "") -> tuple[Named, ...]:
    """All comparisons, the default first: the state's own, newest first, else the fullest; the rest newest first.

    ``state`` is a name or two letters. Raises BadValue for letters that are no state with tables or rules here.
    """
    name = _full_name(state)
    if len(name) == 2:
        known = ", ".join(sorted(STATES | _MORE_STATES))
        raise BadValue("state", state, "not a state we know", f"write its name, or one of {known}")
    own = [one for one in named_tables() if name in one.states]
    first = own or [one for one in named_tables() if one.key == FULLEST]
    return (*first, *(one for one in named_tables() if one.key not in {each.key for each in first}))


def has_table(state: str) -> bool:
    """Whether a state (its name or two letters) has a table of its own here."""
    return any(_full_name(state) in one.states for one in named_tables())


def _full_name(state: str) -> str:
    return (STATES | _MORE_STATES).get(state.strip().upper(), state.strip().title())


def pattern_of(text: str) -> Pattern:
    """The pattern of loss of a typed word; raises BadValue for one that is not known."""
    if text not in get_args(Pattern):
        raise BadValue("pattern", text, "no such pattern of loss", f"use one of {', '.join(get_args(Pattern))}")
    return cast(Pattern, text)


@cache
def loss_params() -> LossParams:
    """What a missing plant costs, stands per hectare."""
    return LossParams(
        single_stands_per_ha=(_per_ha("single_stand_low"), _per_ha("single_stand_high")),
        single_shares=(amount("single_at_low"), amount("single_at_high")),
        single_floor=amount("single_floor"),
        single_ceiling=amount("single_ceiling"),
        run=amount("run"),
        surplus=amount("surplus"),
        best_stand_per_ha=_per_ha("best_stand"),
    )


@cache
def count_rule() -> CountRule:
    """How near a mean stand should be counted."""
    return CountRule(amount("count_margin") / 100.0, amount("count_normal"), amount("usual_emergence"))


def amount(name: str) -> float:
    """One number of the replant table in its own unit."""
    return number("replant", name).value


def _per_ha(name: str) -> float:
    return amount(name) * ACRES_PER_HA


def _named(row: dict[str, str]) -> Named:
    form = cast(Form, row["form"])
    if row["dates"]:
        now = replant = _on_dates(row["now"], row["dates"], form)
        blanks = False
    else:
        printed = [grid(row[which], form) for which in ("now", "replant")]
        blanks = any(bool(np.isnan(one.percent).any()) for one in printed)
        now, replant = (filled(one) for one in printed)
    return Named(
        key=row["key"],
        title=row["title"],
        states=tuple(row["state"].split("|")),
        year=int(row["year"]),
        now=now,
        replant=replant,
        warn_above_per_ha=float(row["warn_above"]) * ACRES_PER_HA,
        blanks_filled=blanks,
        mark=row["mark"],
        source=cite(row["source"]),
    )


def grid(name: str, form: Form) -> YieldTable:
    """A table as printed, blank cells NaN, stands per hectare."""
    found = rows(f"stand_yield_{name}")
    stands = [column for column in found[0] if column.isdigit()]
    first, last = ([_day(row[end]) for row in found] for end in ("from", "to"))
    return YieldTable(
        days=np.array([(a + b) / 2.0 for a, b in zip(first, last, strict=True)]),
        stands_per_ha=np.array([float(column) for column in stands]) * ACRES_PER_HA,
        percent=np.array([[float(row[column] or "nan") for column in stands] for row in found]),
        form=form,
        first_day=first[0],
        last_day=last[-1],
    )


def _on_dates(stands: str, dates: str, form: Form) -> YieldTable:
    """Losses by date taken off one row of a table of stands, in points as that table has them."""
    base = grid(stands, form)
    names = [row["dates"] for row in rows(f"stand_yield_{stands}")]
    points = [row for row in rows("stand_yield_dates") if row["table"] == dates]
    days = np.array([_day(row["date"]) for row in points])
    lost = np.array([float(row["points"]) for row in points])
    percent = base.percent[names.index(COMPOSED_ON)][None, :] - lost[:, None]
    return YieldTable(days, base.stands_per_ha, percent, form, float(days[0]), float(days[-1]))


def _day(text: str) -> float:
    month, day = (int(part) for part in text.split("-"))
    return float(day_number(date(_DATE_YEAR, month, day)))
