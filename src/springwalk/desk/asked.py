"""What one request brings to every page: the session's form token, today, and the receipt of what was just entered."""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, get_args
from urllib.parse import parse_qs, quote

from springwalk.jobs import taps
from springwalk.records.work import PassKind
from springwalk.show.entry_words import EVENTS

TAPS = tuple(word for word in taps.TAPS if word != "torn up")  # it needs a planting, which no button asks for
PASSES: tuple[str, ...] = get_args(PassKind)
"""What the forms of a field's page offer."""
MOST_RECEIPTS = 50


@dataclass(frozen=True)
class Told:
    """A receipt as it is shown once after an entry; ``entry`` is what Undo takes back ("" = nothing to undo)."""

    text: str
    entry: str


@dataclass(frozen=True)
class Asked:
    """The request a page is made for. ``path`` is its own, ready for an address; ``told`` None = nothing entered."""

    path: str
    token: str
    told: Told | None
    day: Callable[[], date]
    passes: tuple[str, ...] = PASSES

    @property
    def taps(self) -> tuple[tuple[str, str], ...]:
        """Each tap's word and what its button says."""
        return tuple((word, EVENTS[word]) for word in TAPS)

    @cached_property
    def today(self) -> str:
        """Today as a date input writes it; asked of the store once, however many forms a page has."""
        return self.day().isoformat()


_NOW: ContextVar[Asked | None] = ContextVar("asked", default=None)


def asked() -> Asked | None:
    """The request being answered; None where nothing can be entered (templates then show no form)."""
    return _NOW.get()


class Receipts:
    """The last receipts of this server by a random name, held in memory only."""

    def __init__(self) -> None:
        """Hold none yet."""
        self._held: OrderedDict[str, Told] = OrderedDict()
        self._lock = threading.Lock()

    def keep(self, told: Told) -> str:
        """Keep a receipt and give its name; the oldest beyond fifty are forgotten."""
        name = secrets.token_urlsafe(12)
        with self._lock:
            self._held[name] = told
            while len(self._held) > MOST_RECEIPTS:
                self._held.popitem(last=False)
        return name

    def get(self, name: str) -> Told | None:
        """The receipt of a name, or None."""
        return self._held.get(name)


class Asking:
    """A layer that lets every page know the request it answers."""

    def __init__(self, app: Any, *, token: Callable[[], str], day: Callable[[], date], receipts: Receipts) -> None:
        """Wrap ``app``."""
        self.app, self.token, self.day, self.receipts = app, token, day, receipts

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer one request with its ``Asked`` in place."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        query = parse_qs(scope.get("query_string", b"").decode("latin-1"))
        told = self.receipts.get(query.get("told", [""])[0])
        put = _NOW.set(Asked(quote(scope["path"], safe="/"), self.token(), told, self.day))
        try:
            await self.app(scope, receive, send)
        finally:
            _NOW.reset(put)
