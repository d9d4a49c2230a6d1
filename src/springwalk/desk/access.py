"""Who may look: a login link that works once, then a cookie; this machine's own names only."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any

from starlette.responses import Response

Scope = MutableMapping[str, Any]
ASGI = Callable[[Scope, Callable[[], Awaitable[Any]], Callable[[Any], Awaitable[None]]], Awaitable[None]]
Problem = Callable[[int, str], Response]
"""Makes the page of a refusal from a status and an error text."""

OPEN_PATHS = ("/static/", "/login/")
PAGE_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
NO_COOKIE = (
    "login = none: this browser has not opened the login link; run springwalk serve again and open the link it prints."
)
WRONG_ORIGIN = "origin = {origin}: this form was not sent by a page of this desk; open the page here and send it again."
READS = ("GET", "HEAD", "OPTIONS")
WRONG_HOST = "host = {host}: not a name of this machine; open the link that springwalk serve prints."


class Access:
    """One login token that works once, and the sessions made from it. Held in memory only."""

    def __init__(self, port: int) -> None:
        """Make a fresh token for the server at ``port``."""
        self.port = port
        self.cookie = f"springwalk_{port}"
        self._token: str | None = secrets.token_urlsafe(32)
        self._session: str | None = None
        self._lock = threading.Lock()

    def link(self) -> str:
        """The one-time login link; raises RuntimeError once it has been used."""
        if self._token is None:
            raise RuntimeError("login link = used: it works once; start the server again.")
        return f"http://127.0.0.1:{self.port}/login/{self._token}"

    def redeem(self, token: str) -> str | None:
        """The new session's secret for the right token, the first time only; else None."""
        with self._lock:
            if self._token is None or not hmac.compare_digest(self._token.encode(), token.encode()):
                return None
            self._token = None
            self._session = secrets.token_urlsafe(32)
            return self._session

    def knows(self, session: str | None) -> bool:
        """Whether this is the secret of the session made from the link."""
        if session is None or self._session is None:
            return False
        return hmac.compare_digest(self._session.encode(), session.encode())

    def form_token(self) -> str:
        """What each form of this session carries, so that only our own pages can send one; "" before the login."""
        if self._session is None:
            return ""
        return hmac.new(self._session.encode(), b"form", hashlib.sha256).hexdigest()

    def knows_form(self, token: str) -> bool:
        """Whether a form carries this session's token."""
        mine = self.form_token()
        return bool(mine) and hmac.compare_digest(mine.encode(), token.encode())

    def allows_origin(self, origin: str, site: str) -> bool:
        """Whether a form was sent by one of our own pages.

        ``site`` is the browser's own word (Sec-Fetch-Site). Without it the Origin must be named and ours; beside it
        an Origin may be "null", which is what a page that sends no referrer gives.
        """
        ours = (f"http://127.0.0.1:{self.port}", f"http://localhost:{self.port}")
        if site:
            return site == "same-origin" and origin in ("", "null", *ours)
        return origin in ours

    def allows_host(self, host: str) -> bool:
        """Whether a Host header names this server: 127.0.0.1 or localhost with its port."""
        return host.lower() in (f"127.0.0.1:{self.port}", f"localhost:{self.port}")


MOST_BYTES = 65_536
TOO_LARGE = "form = {size} bytes: over 65536, or its size is not told; send one form of a page here."


class Guard:
    """Outermost layer: checks host and session, and puts the safety headers on each answer."""

    def __init__(self, app: ASGI, *, access: Access, problem: Problem) -> None:
        """Wrap ``app``; refusals are made by ``problem``."""
        self.app, self.access, self.problem = app, access, problem

    async def __call__(self, scope: Scope, receive: Any, send: Any) -> None:
        """Refuse or pass on one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        refused = self._refusal(scope)
        await (refused or self.app)(scope, receive, _with_headers(send, scope["path"]))

    def _refusal(self, scope: Scope) -> Response | None:
        """The page that refuses this request, or None where it may pass."""
        headers = {key.decode("latin-1").lower(): value.decode("latin-1") for key, value in scope["headers"]}
        host = headers.get("host", "")
        if not self.access.allows_host(host):
            return self.problem(421, WRONG_HOST.format(host=host[:80] or "none"))
        inside = self.access.knows(self._session(headers.get("cookie", "")))
        if not inside and not scope["path"].startswith(OPEN_PATHS):
            return self.problem(403, NO_COOKIE)
        if scope["method"] in READS:
            return None
        size = headers.get("content-length", "")
        if not size.isdecimal() or int(size) > MOST_BYTES:
            return self.problem(413, TOO_LARGE.format(size=size[:20] or "not told"))
        origin, site = headers.get("origin", ""), headers.get("sec-fetch-site", "")
        if inside and self.access.allows_origin(origin, site):
            return None
        return self.problem(403, WRONG_ORIGIN.format(origin=(origin or "none")[:80]))

    def _session(self, cookie_header: str) -> str | None:
        """Our cookie's value in a Cookie header, or None."""
        try:
            found = SimpleCookie(cookie_header).get(self.access.cookie)
        except CookieError:
            return None
        return found.value if found else None


def _with_headers(send: Any, path: str) -> Any:
    """A ``send`` that adds the safety headers; one already set by an answer stays."""

    async def wrapped(message: Any) -> None:
        if message["type"] == "http.response.start":
            have = {key.lower() for key, _ in message["headers"]}
            extra = [
                (k.lower().encode(), v.encode()) for k, v in PAGE_HEADERS.items() if k.lower().encode() not in have
            ]
            if path.startswith("/static/"):
                extra = [(k, b"max-age=3600" if k == b"cache-control" else v) for k, v in extra]
            message = {**message, "headers": [*message["headers"], *extra]}
        await send(message)

    return wrapped
