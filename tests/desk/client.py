"""A plain client that asks the app in this process: no socket, cookies kept between requests."""

from __future__ import annotations

import asyncio
from datetime import date
from typing import Any

import httpx

from springwalk.desk.access import Access
from springwalk.desk.entries import Entries
from springwalk.desk.from_store import store_entries, store_questions
from springwalk.desk.questions import Questions
from springwalk.serve import build_app
from tests.seasons import TODAY

PORT = 8766
"""Where the desk believes it stands; nothing listens there."""
HOST = f"http://127.0.0.1:{PORT}"


class Client:
    """``get`` asks the app as a browser at ``base_url`` would."""

    def __init__(self, app: Any, *, base_url: str) -> None:
        """Ask ``app``; starts with no cookies."""
        self.app, self.base_url, self.cookies = app, base_url, httpx.Cookies()

    def get(self, path: str, *, headers: dict[str, str] | None = None, follow_redirects: bool = True) -> httpx.Response:
        """The answer to one GET request, redirects followed unless told otherwise."""
        return asyncio.run(self._get(path, headers or {}, follow_redirects))

    def post(
        self, path: str, data: dict[str, str] | None = None, *, headers: dict[str, str] | None = None,
        content: bytes | None = None, follow_redirects: bool = True,
    ) -> httpx.Response:  # fmt: skip
        """The answer to one form sent from a page of the same address, as a browser would; headers replace its own.

        ``content`` is sent as it is in place of ``data``.
        """
        sent = {"origin": self.base_url, "sec-fetch-site": "same-origin", **(headers or {})}
        return asyncio.run(self._post(path, data, content, {k: v for k, v in sent.items() if v}, follow_redirects))

    async def _post(
        self, path: str, data: dict[str, str] | None, content: bytes | None, headers: dict[str, str], follow: bool
    ) -> httpx.Response:  # fmt: skip
        transport = httpx.ASGITransport(app=self.app)
        async with httpx.AsyncClient(transport=transport, base_url=self.base_url, cookies=self.cookies) as client:
            answer = await client.post(path, data=data, content=content, headers=headers, follow_redirects=follow)
            self.cookies = client.cookies
            return answer

    async def _get(self, path: str, headers: dict[str, str], follow: bool) -> httpx.Response:
        transport = httpx.ASGITransport(app=self.app)
        async with httpx.AsyncClient(transport=transport, base_url=self.base_url, cookies=self.cookies) as client:
            answer = await client.get(path, headers=headers, follow_redirects=follow)
            self.cookies = client.cookies
            return answer


def asking_of(questions: Questions, entries: Entries | None = None) -> Client:
    """A client that has opened the login link of a desk; with ``entries`` things can be entered there."""
    access = Access(PORT)
    client = Client(build_app(questions, access, entries), base_url=HOST)
    client.get(access.link(), follow_redirects=False)
    return client


def logged_in(location: str, today: date = TODAY, *, forms: bool = True) -> Client:
    """The same at the desk of a store; without ``forms`` nothing can be entered."""
    return asking_of(store_questions(location, today), store_entries(location, today) if forms else None)
