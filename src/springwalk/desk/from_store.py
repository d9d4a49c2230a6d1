"""The desk's questions, entries and walks, answered and kept by a store."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import date
from typing import Literal, Protocol, TypeVar

from springwalk.desk.entries import Entries
from springwalk.desk.questions import Questions, ReplantQuestions, TeamTyped
from springwalk.desk.walk_pages import Walks
from springwalk.errors import NotFound
from springwalk.jobs import enter as entering, recommend as advising, typed as read, walk as walking
from springwalk.jobs.advise import advise_field
from springwalk.jobs.advised import FieldAdvice
from springwalk.jobs.changed import Changed
from springwalk.jobs.day import Team, team_of
from springwalk.jobs.day_said import Day
from springwalk.jobs.enter import DESK
from springwalk.jobs.entered import Entered
from springwalk.jobs.latest import (
    latest_advice,
    latest_changed,
    latest_day,
    latest_field,
    latest_replant,
    latest_sheet,
    latest_stops,
)
from springwalk.jobs.recommended import Recommended
from springwalk.jobs.replant_ground import replant_ground
from springwalk.jobs.replanted import replanted
from springwalk.jobs.results import Look
from springwalk.jobs.search_table import FieldSearch, search_table
from springwalk.jobs.sheet import local_date
from springwalk.jobs.snapshot import season_of
from springwalk.jobs.terms import Hours, terms_of
from springwalk.jobs.walk import Walked
from springwalk.records import Record, Step, Walk
from springwalk.show.chain_words import SAYING
from springwalk.store import Store, open_store

T = TypeVar("T")


class Opening(Protocol):
    """Opens the store for one question and gives its answer."""

    def __call__(self, ask: Callable[[Store], T]) -> T:
        """Ask it."""
        ...


def store_questions(store: str, today: date | None) -> Questions:
    """Questions answered from the store at ``store``; ``today`` None means the season's local date at each request."""
    on = _on(store)

    def day(typed: TeamTyped) -> Day:
        return on(lambda opened: latest_day(opened, _team(opened, typed), today=today))

    def riding(ident: str, days: int) -> FieldAdvice | None:
        def ask(opened: Store) -> FieldAdvice | None:
            terms = terms_of(season_of(opened), pass_in_days=days)
            try:
                return advise_field(opened, ident, terms, today=today)
            except NotFound:
                return None

        return on(ask)

    def changed(ident: str) -> Changed | None:
        try:
            return on(lambda opened: latest_changed(opened, ident, today=today))
        except NotFound:
            return None  # nobody walked it, or no weather reaches it

    return Questions(
        sheet=lambda: on(lambda opened: latest_sheet(opened, today)),
        field=lambda ident: on(lambda opened: latest_field(opened, ident, today=today)),
        day=day,
        advice=lambda: on(lambda opened: latest_advice(opened, today=today)),
        riding=riding,
        changed=changed,
        chains=lambda: on(lambda opened: advising.recommendations(opened, today=today)),
        stops=lambda ident: on(lambda opened: latest_stops(opened, ident, today=today)),
        replant=ReplantQuestions(
            ground=lambda ident: on(lambda opened: replant_ground(opened, ident, today=today)),
            answer=lambda ident, asked, policy: on(
                lambda opened: latest_replant(opened, ident, asked, policy, today=today)
            ),
        ),
    )


def _team(opened: Store, typed: TeamTyped) -> Team:
    """The day's team as typed into its form; raises BadValue for what can't be."""
    return team_of(
        season_of(opened), people=typed.people, hours=read.hours(typed.hours),
        leave=read.clock(typed.leave, name="leave"), start=read.place(typed.start, name="from"),
    )  # fmt: skip


def _on(store: str) -> Opening:
    """Asks the store at ``store``, one question at a time."""
    one_at_a_time = threading.Lock()

    def on(ask: Callable[[Store], T]) -> T:
        with one_at_a_time:
            opened = open_store(store)
            try:
                return ask(opened)
            finally:
                opened.close()

    return on


def store_entries(store: str, today: date | None) -> Entries:
    """Entries kept in the store at ``store``, dated at most ``today`` (None = the season's local date)."""
    on = _on(store)

    def enter(record: Record, person: str) -> Entered:
        return on(lambda opened: entering.enter(opened, record, person=person, device=DESK, today=today))

    def end(look: str, outcome: Literal["done", "set aside"], note: str, person: str) -> Entered:
        return on(
            lambda opened: entering.end_look(
                opened, look, outcome=outcome, note=note, person=person, device=DESK, today=today
            )
        )

    def look(entered: Entered) -> Look | None:
        return on(lambda opened: entering.look_after(opened, entered, today=today))

    def recommend(field: str, person: str) -> Recommended:
        return on(
            lambda opened: advising.recommend(
                opened, field, terms_of(season_of(opened)), saying=SAYING, person=person, device=DESK, today=today
            )
        )

    def step(told: Step, person: str) -> Entered:
        return on(lambda opened: advising.step(opened, told, person=person, device=DESK, today=today))

    return Entries(
        enter=enter,
        end=end,
        undo=lambda entry: on(lambda opened: entering.undo(opened, entry, device=DESK)),
        look=look,
        today=lambda: today or on(lambda opened: local_date(season_of(opened))),
        recommend=recommend,
        step=step,
        walks=_walks(on, today),
        replanted=lambda told: on(lambda opened: replanted(opened, told, device=DESK, today=today)),
    )


def _walks(on: Opening, today: date | None) -> Walks:
    """The forms for a walk, answered and kept by ``on``, which opens the store for one question."""

    def search(field: str) -> FieldSearch:
        def ask(opened: Store) -> FieldSearch:
            terms = terms_of(season_of(opened))
            assert terms.said is not None
            return search_table(opened, field, terms, Hours(terms.said.wage_usd_h), today=today)

        return on(ask)

    def keep(walk: Walk, correct: str) -> Walked:
        return on(
            lambda opened: walking.keep_walk(
                opened, walk, person=walk.person, device=DESK, today=today, correct=correct
            )
        )

    return Walks(
        ground=lambda field: on(lambda opened: walking.walk_ground(opened, field, today=today)),
        keep=keep,
        typed=lambda field, walk: on(lambda opened: walking.typed_walk_of(opened, field, walk)),
        search=search,
    )
