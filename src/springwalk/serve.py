"""Builds the app: questions, login, desk; and runs it on this machine only."""

from __future__ import annotations

import logging
import socket
import sys
from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Literal, Protocol, TypeVar

from springwalk.errors import BadValue, NotFound, SpringwalkError

if TYPE_CHECKING:
    from fastapi import FastAPI, Request
    from starlette.responses import Response

    from springwalk.desk.access import Access
    from springwalk.desk.entries import Entries
    from springwalk.desk.questions import Questions, TeamTyped
    from springwalk.desk.walk_pages import Walks
    from springwalk.jobs.advised import FieldAdvice
    from springwalk.jobs.changed import Changed
    from springwalk.jobs.day import Team
    from springwalk.jobs.day_said import Day
    from springwalk.jobs.entered import Entered
    from springwalk.jobs.recommended import Recommended
    from springwalk.jobs.results import Look
    from springwalk.jobs.search_table import FieldSearch
    from springwalk.jobs.walk import Walked
    from springwalk.records import Record, Step, Walk
    from springwalk.store import Store

T = TypeVar("T")
LOCAL = "127.0.0.1"


class Opening(Protocol):
    """Opens the store for one question and gives its answer."""

    def __call__(self, ask: Callable[[Store], T]) -> T:
        """Ask it."""
        ...


_LOG = logging.getLogger("springwalk.serve")


def build_app(questions: Questions, access: Access, entries: Entries | None = None) -> FastAPI:
    """The desk as an app: pages that answer ``questions``, open to the holder of ``access`` only.

    With ``entries`` the pages have forms, and what is sent by them is entered.
    """
    from fastapi import FastAPI
    from starlette.staticfiles import StaticFiles

    from springwalk.desk.access import Guard
    from springwalk.desk.pages import login_router, router
    from springwalk.desk.render import STATIC, problem
    from springwalk.show.faces import STYLE_DIR

    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, title="Springwalk")
    app.include_router(login_router(access))
    app.include_router(router(questions))
    app.mount("/static/face", StaticFiles(directory=STYLE_DIR))
    app.mount("/static", StaticFiles(directory=STATIC))
    _handle_errors(app)
    if entries is not None:
        from springwalk.desk.asked import Asking, Receipts
        from springwalk.desk.chain_entries import chain_entry_router
        from springwalk.desk.entries import entry_router

        receipts = Receipts()
        app.include_router(entry_router(entries, access, receipts))
        app.include_router(chain_entry_router(entries, access, receipts))
        if entries.walks is not None:
            from springwalk.desk.walk_pages import walk_router

            app.include_router(walk_router(entries.walks, access, receipts))
        if questions.replant is not None:
            from springwalk.desk.replant_pages import replant_entry_router

            app.include_router(replant_entry_router(questions.replant, entries, access, receipts))
        app.add_middleware(Asking, token=access.form_token, day=entries.today, receipts=receipts)
    app.add_middleware(Guard, access=access, problem=problem)
    return app


def _handle_errors(app: FastAPI) -> None:
    """Each error as a page in the one error form; a fault of ours is logged by kind, without its trace."""
    from fastapi.exceptions import RequestValidationError
    from starlette.exceptions import HTTPException

    from springwalk.desk.render import problem

    @app.middleware("http")
    async def no_trace(request: Request, go_on):  # type: ignore[no-untyped-def]
        try:
            return await go_on(request)
        except Exception as error:
            _LOG.error("%s while making %s", type(error).__name__, _path(request))
            text = f"page = {_path(request)}: {type(error).__name__} while making it; please report this."
            return problem(500, text)

    @app.exception_handler(SpringwalkError)
    def told(_: Request, error: SpringwalkError) -> Response:
        status = 404 if isinstance(error, NotFound) else 422 if isinstance(error, BadValue) else 409
        return problem(status, str(error))

    @app.exception_handler(HTTPException)
    def http(request: Request, error: HTTPException) -> Response:
        text = f"page = {_path(request)}: there is no such page; go to the morning sheet."
        if error.status_code == 403:
            text = error.detail
        return problem(error.status_code, text)

    @app.exception_handler(RequestValidationError)
    def asked_wrong(request: Request, _: RequestValidationError) -> Response:
        if request.method == "POST":
            return problem(422, f"form = {_path(request)}: not understood; open the page again and send it again.")
        return problem(422, f"page = {_path(request)}: what follows the ? is not understood; leave it out.")


def _path(request: Request) -> str:
    """The path asked for, without a login token."""
    path = request.url.path
    return "/login/…" if path.startswith("/login/") else path[:120]


def store_questions(store: str, today: date | None) -> Questions:
    """Questions answered from the store at ``store``; ``today`` None means the season's local date at each request."""
    from springwalk.desk.questions import Questions, ReplantQuestions
    from springwalk.jobs.advise import advise_field
    from springwalk.jobs.latest import (
        latest_advice,
        latest_changed,
        latest_day,
        latest_field,
        latest_replant,
        latest_sheet,
        latest_stops,
    )
    from springwalk.jobs.recommend import recommendations
    from springwalk.jobs.replant_ground import replant_ground
    from springwalk.jobs.snapshot import season_of
    from springwalk.jobs.terms import terms_of

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
        chains=lambda: on(lambda opened: recommendations(opened, today=today)),
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
    from springwalk.jobs import typed as read
    from springwalk.jobs.day import team_of
    from springwalk.jobs.snapshot import season_of

    return team_of(
        season_of(opened), people=typed.people, hours=read.hours(typed.hours),
        leave=read.clock(typed.leave, name="leave"), start=read.place(typed.start, name="from"),
    )  # fmt: skip


def _on(store: str) -> Opening:
    """Asks the store at ``store``, one question at a time."""
    import threading

    from springwalk.store import open_store

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
    from springwalk.desk.entries import Entries
    from springwalk.jobs import enter as job, recommend as advising
    from springwalk.jobs.replanted import replanted
    from springwalk.jobs.sheet import local_date
    from springwalk.jobs.snapshot import season_of
    from springwalk.jobs.terms import terms_of
    from springwalk.show.chain_words import SAYING

    on = _on(store)

    def enter(record: Record, person: str) -> Entered:
        return on(lambda opened: job.enter(opened, record, person=person, device=job.DESK, today=today))

    def end(look: str, outcome: Literal["done", "set aside"], note: str, person: str) -> Entered:
        return on(
            lambda opened: job.end_look(
                opened, look, outcome=outcome, note=note, person=person, device=job.DESK, today=today
            )
        )

    def look(entered: Entered) -> Look | None:
        return on(lambda opened: job.look_after(opened, entered, today=today))

    def recommend(field: str, person: str) -> Recommended:
        return on(
            lambda opened: advising.recommend(
                opened, field, terms_of(season_of(opened)), saying=SAYING, person=person, device=job.DESK, today=today
            )
        )

    def step(told: Step, person: str) -> Entered:
        return on(lambda opened: advising.step(opened, told, person=person, device=job.DESK, today=today))

    return Entries(
        enter=enter,
        end=end,
        undo=lambda entry: on(lambda opened: job.undo(opened, entry, device=job.DESK)),
        look=look,
        today=lambda: today or on(lambda opened: local_date(season_of(opened))),
        recommend=recommend,
        step=step,
        walks=_walks(on, today),
        replanted=lambda told: on(lambda opened: replanted(opened, told, device=job.DESK, today=today)),
    )


def _walks(on: Opening, today: date | None) -> Walks:
    """The forms for a walk, answered and kept by ``on``, which opens the store for one question."""
    from springwalk.desk.walk_pages import Walks
    from springwalk.jobs import walk as job
    from springwalk.jobs.enter import DESK
    from springwalk.jobs.search_table import search_table
    from springwalk.jobs.snapshot import season_of
    from springwalk.jobs.terms import Hours, terms_of

    def search(field: str) -> FieldSearch:
        def ask(opened: Store) -> FieldSearch:
            terms = terms_of(season_of(opened))
            assert terms.said is not None
            return search_table(opened, field, terms, Hours(terms.said.wage_usd_h), today=today)

        return on(ask)

    def keep(walk: Walk, correct: str) -> Walked:
        return on(
            lambda opened: job.keep_walk(opened, walk, person=walk.person, device=DESK, today=today, correct=correct)
        )

    return Walks(
        ground=lambda field: on(lambda opened: job.walk_ground(opened, field, today=today)),
        keep=keep,
        typed=lambda field, walk: on(lambda opened: job.typed_walk_of(opened, field, walk)),
        search=search,
    )


def run(store: str, today: date | None, port: int) -> None:
    """Serve the store's sheet at 127.0.0.1:``port`` until stopped, and print the one-time login link.

    Raises BadValue where the port is taken, and what opening the store raises.
    """
    import uvicorn

    from springwalk.desk.access import Access
    from springwalk.store import open_store

    open_store(store).close()
    bound = _bind(port)
    access = Access(bound.getsockname()[1])
    app = build_app(store_questions(store, today), access, store_entries(store, today))
    sys.stdout.write(f"Open this link once, on this machine: {access.link()}\nStop with Ctrl-C.\n")
    sys.stdout.flush()
    config = uvicorn.Config(app, access_log=False, log_level="warning", server_header=False)
    try:
        uvicorn.Server(config).run(sockets=[bound])
    except KeyboardInterrupt:
        pass
    finally:
        bound.close()


def _bind(port: int) -> socket.socket:
    """A socket of this machine only; port 0 picks a free one. Raises BadValue where the port is taken."""
    bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        bound.bind((LOCAL, port))
        bound.listen(128)
    except OSError:
        bound.close()
        raise BadValue("port", port, "cannot be used on this machine", "give another with --port") from None
    return bound
