"""Answers kept by (store counter, today, settings, engine version), so that a page is made once a change."""

from __future__ import annotations

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
from springwalk.records import Pass
from springwalk.store import Store
from springwalk.store.entries import heads
from springwalk.store.results import forget_results, get_result, put_result

R = TypeVar("R", bound=Result)


def latest_sheet(store: Store, today: date | None = None) -> Sheet:
    """The morning sheet, kept from the last time it was asked while nothing changed."""
    season = season_of(store)
    now = sheet_job.asked_at(season, today)
    prefix = _prefix(store, season.heat_method)
    key = f"{prefix}sheet {now.date()} {today is not None} {_opened(store, now)}"
    return _kept(store, key, Sheet) or _keep(store, prefix, key, sheet_job.sheet(store, today))


def latest_field(store: Store, field_id: str, *, today: date | None = None) -> FieldPage:
    """A field's page, kept from the last time it was asked while nothing changed."""
    season = season_of(store)
    now = sheet_job.asked_at(season, today)
    prefix = _prefix(store, season.heat_method)
    key = f"{prefix}field {field_id} {now.date()} {_opened(store, now)}"
    return _kept(store, key, FieldPage) or _keep(
        store, prefix, key, field_job.field(store, field_id, today=now.date(), at=now.time())
    )


def latest_day(store: Store, team: Team, *, today: date | None = None) -> Day:
    """The day's plan for a team, kept from the last time it was asked while nothing changed."""
    season = season_of(store)
    now = sheet_job.asked_at(season, today)
    prefix = _prefix(store, season.heat_method)
    key = f"{prefix}day {now.date()} {team!r} {_opened(store, now)}"
    return _kept(store, key, Day) or _keep(
        store, prefix, key, day_job.day(store, team, terms_of(season), today=now.date())
    )


def latest_advice(store: Store, *, today: date | None = None) -> MorningAdvice:
    """The advice for all fields walked lately, on the season's own money; kept while nothing changed."""
    season = season_of(store)
    now = sheet_job.asked_at(season, today)
    prefix = _prefix(store, season.heat_method)
    key = f"{prefix}advice {now.date()}"
    kept = _kept(store, key, MorningAdvice)
    if kept is not None:
        return kept
    try:
        made = morning_advice(snapshot(store, today=now.date()), terms_of(season))
    except NotFound:
        made = MorningAdvice(today=now.date(), fields=())  # no weather: the pages say so themselves
    return _keep(store, prefix, key, made)


def latest_changed(store: Store, field_id: str, *, today: date | None = None) -> Changed:
    """What a field's newest walk changed, kept while nothing changed; raises what `changed_by` raises."""
    season = season_of(store)
    now = sheet_job.asked_at(season, today)
    prefix = _prefix(store, season.heat_method)
    key = f"{prefix}changed {field_id} {now.date()}"
    return _kept(store, key, Changed) or _keep(
        store, prefix, key, changed_by(snapshot(store, today=now.date()), field_id)
    )


def latest_stops(store: Store, field_id: str, *, today: date | None = None) -> FieldStops:
    """The stop tables of a field on the season's own money, kept while nothing changed."""
    season = season_of(store)
    now = sheet_job.asked_at(season, today)
    prefix, terms = _prefix(store, season.heat_method), terms_of(season)
    assert terms.said is not None
    key, hours = f"{prefix}stops {field_id} {now.date()}", Hours(terms.said.wage_usd_h)
    return _kept(store, key, FieldStops) or _keep(
        store, prefix, key, stop_table_of(snapshot(store, today=now.date()), field_id, terms, hours)
    )


def latest_replant(
    store: Store, field_id: str, asked: Asked, policy: Policy | None, *, today: date | None = None
) -> ReplantSaid:
    """The answer to a replant question, kept while nothing changed; raises what `replant_field` raises."""
    season = season_of(store)
    now = sheet_job.asked_at(season, today)
    prefix = _prefix(store, season.heat_method)
    key = f"{prefix}replant {field_id} {now.date()} {asked!r} {policy!r}"
    return _kept(store, key, ReplantSaid) or _keep(
        store, prefix, key, replant_field(store, field_id, asked, policy, today=now.date())
    )


def _opened(store: Store, now: datetime) -> int:
    """How many keep-out locks began or let go so far today: an answer kept since before one is no longer true."""
    with store.reading() as read:
        noted = [entry.record for entry in heads(read, Pass.kind) if isinstance(entry.record, Pass)]
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
