"""The keep-out lock: a treated field is nobody's walk until the entry interval typed from its label is over."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta

from springwalk.jobs.results import KeepOut
from springwalk.records import Pass

PESTICIDE = ("insecticide", "herbicide", "fungicide")
"""Passes whose label has an entry interval: without one typed the field is held out for a while."""
END_OF_DAY = time(23, 59)


def opens_at(done: Pass) -> datetime | None:
    """The local time a pass lets people in again; None where no interval was typed.

    Counted from the hour the pass ended, or from the end of its day where nobody told the hour: the safe side.
    """
    if done.entry_hours is None:
        return None
    return datetime.combine(done.date, done.at or END_OF_DAY) + timedelta(hours=done.entry_hours)


def lets_go(done: Pass, hold_untold_hours: float) -> datetime:
    """The local time a pass stops holding its field: when it lets people in, or the end of the hold where untyped."""
    return opens_at(done) or datetime.combine(done.date, done.at or END_OF_DAY) + timedelta(hours=hold_untold_hours)


def first_day_in(done: Pass, hold_untold_hours: float) -> date:
    """The first whole day a field is open after a pass; with no interval typed, the day after its hold."""
    opens = opens_at(done)
    if opens is None:
        return done.date + timedelta(days=int(hold_untold_hours // 24) + 1)
    return opens.date() if (opens.hour, opens.minute) <= (9, 0) else opens.date() + timedelta(days=1)


def keep_out(passes: Iterable[Pass], now: datetime, *, hold_untold_hours: float) -> KeepOut | None:
    """The lock that holds a field at the local time ``now``, the one that opens last; None where it is open.

    A pesticide pass without a typed interval holds the field for ``hold_untold_hours`` and has no opening time.
    """
    locks: list[tuple[datetime, KeepOut]] = []
    for done in passes:
        opens = opens_at(done)
        if opens is None and done.what not in PESTICIDE:
            continue
        end = lets_go(done, hold_untold_hours)
        if end > now:
            lock = KeepOut(
                what=done.what, product=done.product, on=done.date, opens=opens, told_time=done.at is not None,
                zone=done.zone,
            )  # fmt: skip
            locks.append((end, lock))
    if not locks:
        return None
    return max(locks, key=lambda item: item[0])[1]


def interval_asked(passes: Iterable[Pass], today: date, *, days: float) -> Pass | None:
    """The newest pesticide pass of the last ``days`` days whose entry interval nobody typed."""
    found = [p for p in passes if p.what in PESTICIDE and p.entry_hours is None and 0 <= (today - p.date).days <= days]
    return max(found, key=lambda p: p.date, default=None)


def changes_on(passes: Iterable[Pass], day: date, *, hold_untold_hours: float) -> tuple[datetime, ...]:
    """The times on a day at which a lock begins or lets go: an answer kept since before one is no longer true."""
    times = set()
    for done in passes:
        times |= {datetime.combine(done.date, done.at or time.min), lets_go(done, hold_untold_hours)}
    return tuple(sorted(t for t in times if t.date() == day))
