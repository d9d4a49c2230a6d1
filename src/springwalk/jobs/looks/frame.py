"""One look put together, and its state on a morning: coming, due, overdue, missed; or ended."""

from __future__ import annotations

from datetime import date
from typing import Any

from springwalk.jobs.dates import look_state
from springwalk.jobs.looks.facts import FieldFacts, Sown, saw_plants
from springwalk.jobs.results import DateRange, Look, Reason
from springwalk.tables import MARKS, cite, number


def reason(code: str, **facts: Any) -> Reason:
    """A reason with its facts."""
    return Reason(code=code, facts=facts)


def make_look(
    facts: FieldFacts, code: str, sown: Sown | None, cause: date | str, window: tuple[date, date, date], *, rule: str,
    timed: tuple[str, ...] = (), minutes: str = "look_minutes", zone: str | None = None, **said: Any,
) -> Look:  # fmt: skip
    """A look with its key, state and minutes; its source is that of the row ``rule`` of the table of looks.

    ``window`` is (opens, closes, lapses); ``timed`` are the rows its window comes from, and the look bears the weakest
    mark of them all. ``cause`` is the day or word that names it for good: never an estimated date, which moves from
    morning to morning.
    """
    opens, closes, lapses = window[0], max(window[0], window[1]), max(window)
    row = number("looks", rule)
    said["not_yet"] = tuple(r for r in said.get("not_yet", ()) if _still(r, facts.today))
    return Look(
        key=f"{code}:{facts.field}:{(sown.id if sown else None) or ''}:{cause}", code=code,
        planting=sown.id if sown else None, zone=zone, opens=opens, closes=closes, lapses=lapses,
        state=look_state(facts.today, opens, closes, lapses), minutes=facts.rules.table[minutes],
        mark=max((number("looks", name).mark for name in (rule, *timed)), key=MARKS.index),
        source=cite(row.source), **said,
    )  # fmt: skip


def _still(said: Reason, today: date) -> bool:
    """Whether a warning not to decide before a day is still ahead of its day."""
    day = said.facts.get("date")
    until = day.mid if isinstance(day, DateRange) else day
    return until is None or until > today


NEEDS = {"stand_count": lambda walk: bool(walk.stops), "green_bridge": saw_plants}
"""What a walk must have seen to end a look: places counted, or corn."""
ENDS_TOO = {"dig_cold": "dig_cold_again", "spike_check": "stand_count"}
"""A later look whose end is the end of an earlier one."""


def ended(look: Look, facts: FieldFacts) -> bool:
    """Whether a look is over: someone said so, or a walk of that planting was made inside or after its window."""
    keys = [look.key]
    if look.code in ENDS_TOO:
        keys.append(look.key.replace(look.code, ENDS_TOO[look.code], 1).split("+")[0])
    if any(key in facts.done and facts.done[key].on <= facts.today for key in keys):
        return True
    if look.closed_by != "walk":
        return False
    walks = [w for w in facts.walks if look.planting is None or w.planting in (None, look.planting)]
    seen = NEEDS.get(look.code, lambda _: True)
    return any(w.walked >= look.opens and seen(w) for w in walks)
