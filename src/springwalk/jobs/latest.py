"""Answers kept by (store counter, today, settings, engine version), so that a page is made once a change."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import TypeVar

from pydantic import ValidationError

from springwalk import __version__
from springwalk.engine import ENGINE_VERSION
from springwalk.errors import NotFound
from springwalk.jobs import day as day_job, field as field_job, sheet as sheet_job
from springwalk.jobs.advise import morning_advice
from springwalk.jobs.advised import MorningAdvice
from springwalk.jobs.changed import Changed, changed_by
from springwalk.jobs.day import Team
from springwalk.jobs.day_said import Day
from springwalk.jobs.keep_out import changes_on
from springwalk.jobs.params import load
from springwalk.jobs.replant_field import Asked, replant_field
from springwalk.jobs.replant_policy import Policy
from springwalk.jobs.replant_said import ReplantSaid
from springwalk.jobs.results import FieldPage, Result, Sheet
from springwalk.jobs.rules import look_rules
from springwalk.jobs.snapshot import season_of, snapshot
from springwalk.jobs.stop_table import stop_table_of
from springwalk.jobs.stop_told import FieldStops
from springwalk.jobs.terms import Hours, terms_of
from springwalk.jobs.told_passes import unnoted_passes
from springwalk.records import Pass, Season
from springwalk.store import Store
from springwalk.store.entries import records
from springwalk.store.results import forget_results, get_result, put_result

R = TypeVar("R", bound=Result)


def latest_sheet(store: Store, today: date | None = None) -> Sheet:
    """The morning sheet, kept from the last time it was asked while nothing changed."""
    return _latest(
        store, today, Sheet, f"sheet {today is not None}",
        lambda _season, _now: sheet_job.sheet(store, today), locks=True,
    )  # fmt: skip


def latest_field(store: Store, field_id: str, *, today: date | None = None) -> FieldPage:
    """A field's page, kept from the last time it was asked while nothing changed."""
    return _latest(
        store, today, FieldPage, f"field {field_id}",
        lambda _season, now: field_job.field(store, field_id, today=now.date(), at=now.time()), locks=True,
    )  # fmt: skip


def latest_day(store: Store, team: Team, *, today: date | None = None) -> Day:
    """The day's plan for a team, kept from the last time it was asked while nothing changed."""
    return _latest(
        store, today, Day, f"day {team!r}",
        lambda season, now: day_job.day(store, team, terms_of(season), today=now.date()), locks=True,
    )  # fmt: skip


def latest_advice(store: Store, *, today: date | None = None) -> MorningAdvice:
    """The advice for all fields walked lately, on the season's own money; kept while nothing changed."""

    def make(season: Season, now: datetime) -> MorningAdvice:
        try:
            return morning_advice(snapshot(store, today=now.date()), terms_of(season))
        except NotFound:
            return MorningAdvice(today=now.date(), fields=())  # no weather: the pages say so themselves

    return _latest(store, today, MorningAdvice, "advice", make)


def latest_changed(store: Store, field_id: str, *, today: date | None = None) -> Changed:
    """What a field's newest walk changed, kept while nothing changed; raises what `changed_by` raises."""
    return _latest(
        store, today, Changed, f"changed {field_id}",
        lambda _season, now: changed_by(snapshot(store, today=now.date()), field_id),
    )  # fmt: skip


def latest_stops(store: Store, field_id: str, *, today: date | None = None) -> FieldStops:
    """The stop tables of a field on the season's own money, kept while nothing changed."""

    def make(season: Season, now: datetime) -> FieldStops:
        terms = terms_of(season)
        assert terms.said is not None
        return stop_table_of(snapshot(store, today=now.date()), field_id, terms, Hours(terms.said.wage_usd_h))

    return _latest(store, today, FieldStops, f"stops {field_id}", make)


def latest_replant(
    store: Store, field_id: str, asked: Asked, policy: Policy | None, *, today: date | None = None
) -> ReplantSaid:
    """The answer to a replant question, kept while nothing changed; raises what `replant_field` raises."""
    return _latest(
        store, today, ReplantSaid, f"replant {field_id} {asked!r} {policy!r}",
        lambda _season, now: replant_field(store, field_id, asked, policy, today=now.date()),
    )  # fmt: skip


def _latest(
    store: Store, today: date | None, kind: type[R], question: str, make: Callable[[Season, datetime], R], *,
    locks: bool = False,
) -> R:  # fmt: skip
    """The kept answer to a question of today, else a new one; with ``locks`` made again as one begins or ends."""
    season = season_of(store)
    now = sheet_job.asked_at(season, today)
    prefix = _prefix(store, season.heat_method)
    key = f"{prefix}{question} {now.date()}" + (f" {_opened(store, now)}" if locks else "")
    return _kept(store, key, kind) or _keep(store, prefix, key, make(season, now))


def _opened(store: Store, now: datetime) -> int:
    """How many keep-out locks began or let go so far today: an answer kept since before one is no longer true."""
    with store.reading() as read:
        noted = records(read, Pass)
        passes = (*noted, *unnoted_passes(read, noted))
    hold = look_rules().table["hold_untold"]
    times = changes_on(passes, now.date(), hold_untold_hours=hold)
    return sum(t <= now for t in times)


def _prefix(store: Store, heat_method: str) -> str:
    return f"{store.epoch} {store.counter} {__version__} {ENGINE_VERSION} {load(heat_method).digest} "


def _kept(store: Store, key: str, kind: type[R]) -> R | None:
    with store.reading() as read:
        text = get_result(read, key)
    try:
        return kind.model_validate_json(text) if text else None
    except ValidationError:
        return None  # kept by another version; it is made again


def _keep(store: Store, prefix: str, key: str, result: R) -> R:
    if not store.read_only:
        with store.writing() as write:
            forget_results(write, but=prefix)
            put_result(write, key, result.model_dump_json())
    # Read back, so that the first answer and the kept one are the same to the byte.
    return type(result).model_validate_json(result.model_dump_json())
