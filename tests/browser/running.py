"""A desk running on a free port of this machine, and the Chromium to look at it with."""

from __future__ import annotations

import os
import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn

from springwalk.desk.access import Access
from springwalk.desk.entries import Entries
from springwalk.desk.questions import Questions
from springwalk.serve import _bind, build_app

PHONE = {"width": 390, "height": 844}
CHROMIUM_ARGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


def chromium() -> str | None:
    """The Chromium to use: SPRINGWALK_CHROMIUM, else the one on PATH, else None."""
    told = os.environ.get("SPRINGWALK_CHROMIUM")
    if told:
        return told
    names = ("chromium", "chromium-browser", "google-chrome")
    return next((found for name in names if (found := shutil.which(name))), None)


@contextmanager
def serving(questions: Questions, entries: Entries | None = None) -> Iterator[tuple[str, Access]]:
    """Serve ``questions`` in a thread; gives the base address and the access whose link logs in.

    With ``entries`` the pages have forms.
    """
    bound = _bind(0)
    access = Access(bound.getsockname()[1])
    config = uvicorn.Config(build_app(questions, access, entries), access_log=False, log_level="error")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [bound]}, daemon=True)
    thread.start()
    until = time.monotonic() + 20
    while not server.started and time.monotonic() < until:
        time.sleep(0.01)
    try:
        yield f"http://127.0.0.1:{access.port}", access
    finally:
        server.should_exit = True
        thread.join(timeout=10)
        bound.close()
