"""Builds the app: questions, login, desk; and runs it on this machine only."""

from __future__ import annotations

import logging
import socket
import sys
from datetime import date
from typing import TYPE_CHECKING

from springwalk.errors import BadValue, NotFound, SpringwalkError

if TYPE_CHECKING:
    from fastapi import FastAPI, Request
    from starlette.responses import Response

    from springwalk.desk.access import Access
    from springwalk.desk.entries import Entries
    from springwalk.desk.questions import Questions

LOCAL = "127.0.0.1"

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


def run(store: str, today: date | None, port: int) -> None:
    """Serve the store's sheet at 127.0.0.1:``port`` until stopped, and print the one-time login link.

    Raises BadValue where the port is taken, and what opening the store raises.
    """
    import uvicorn

    from springwalk.desk.access import Access
    from springwalk.desk.from_store import store_entries, store_questions
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
