"""Who may come in: the host that is asked for, a key, and where a page's own requests come from.

A page on another site can make a browser send requests here; what it cannot do is know the key, or give this machine's
address as the host. Everything but the exchange of a key for a cookie is refused without that cookie, the live
connection of the page too. Keys and cookies are of this run alone.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit

Scope = MutableMapping[str, Any]
Asgi = Callable[[Scope, Callable[[], Awaitable[Any]], Callable[[Any], Awaitable[None]]], Awaitable[None]]
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
POLICY = (
    "default-src 'self' data: blob:; script-src 'self' 'unsafe-inline' 'unsafe-eval' blob:; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; connect-src 'self'; object-src 'none'; "
    "base-uri 'self'; form-action 'self'; frame-ancestors 'self'"
)
MOST_BYTES = 300 << 20  # of one request: as many files as one drop may hold
NO_KEY = "This page needs its key: open the whole address that wheelcad printed, or scan a new code from its page.\n"


class Keys:
    """The keys of this run. hosts: `name:port` of every address the page may be asked for at."""

    def __init__(self, port: int, others: tuple[str, ...] = ()) -> None:
        self.port = port
        self.hosts = {f"{name}:{port}" for name in (*LOOPBACK, *others)}
        self.own = secrets.token_urlsafe(18)  # for this machine's person: good as long as the page is served
        self.cookie = f"wheelcad_{port}"
        self._once: set[str] = set()
        self._cookies: set[str] = set()

    def one_time(self) -> str:
        """A key that lets one browser in, once."""
        key = secrets.token_urlsafe(18)
        self._once.add(key)
        return key

    def admit(self, key: str) -> str:
        """A cookie for a key; "" where it opens nothing (any more)."""
        if key in self._once:
            self._once.remove(key)
        elif not hmac.compare_digest(key.encode(), self.own.encode()):
            return ""
        cookie = secrets.token_urlsafe(24)
        self._cookies.add(cookie)
        return cookie

    def knows(self, cookie: str) -> bool:
        """Whether a browser with this cookie was let in."""
        return cookie in self._cookies


class Doors:
    """ASGI around the whole page."""

    def __init__(self, app: Asgi, keys: Keys) -> None:
        self.app, self.keys = app, keys

    async def __call__(self, scope: Scope, receive: Any, send: Any) -> None:
        """Let a request through, or answer it."""
        if scope["type"] not in ("http", "websocket"):
            return await self.app(scope, receive, send)
        headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
        if headers.get("host", "") not in self.keys.hosts:
            return await _refuse(scope, receive, send, 421, "This is not the address of this page.\n")
        origin = headers.get("origin")
        if origin is not None and urlsplit(origin).netloc not in self.keys.hosts:
            return await _refuse(scope, receive, send, 403, "Another site's page may not ask for this.\n")
        if scope["type"] == "http" and (too_large := _too_large(scope["method"], headers)):
            return await _refuse(scope, receive, send, too_large, "That is more than this page takes.\n")
        query = dict(parse_qsl(scope.get("query_string", b"").decode("latin-1")))
        if scope["type"] == "http" and "key" in query and scope["method"] == "GET":
            cookie = self.keys.admit(query.pop("key"))
            if cookie:
                return await self._welcome(scope, send, query, cookie)
        if not self.keys.knows(_cookie(headers.get("cookie", ""), self.keys.cookie)):
            return await _refuse(scope, receive, send, 403, NO_KEY)
        return await self.app(scope, receive, _guarded(send))

    async def _welcome(self, scope: Scope, send: Any, query: dict[str, str], cookie: str) -> None:
        """The cookie, and the address without the key: it must not stay in the browser's history."""
        path = "/" + str(scope["path"]).lstrip("/")
        where = path + (f"?{urlencode(query)}" if query else "")
        held = f"{self.keys.cookie}={cookie}; HttpOnly; SameSite=Lax; Path=/"
        headers = [(b"location", where.encode()), (b"set-cookie", held.encode()), (b"referrer-policy", b"no-referrer")]
        await send({"type": "http.response.start", "status": 303, "headers": [*headers, (b"content-length", b"0")]})
        await send({"type": "http.response.body", "body": b""})


def _too_large(method: str, headers: dict[str, str]) -> int:
    """The status that refuses what is sent here: too much of it, or not said how much. 0 where it may come."""
    said = headers.get("content-length", "")
    if method in ("GET", "HEAD", "OPTIONS") and not said:
        return 0
    if not said.isdecimal():
        return 411
    return 413 if int(said) > MOST_BYTES else 0


def _cookie(header: str, name: str) -> str:
    try:
        held = SimpleCookie(header).get(name)
    except CookieError:
        return ""
    return held.value if held is not None else ""


def _guarded(send: Any) -> Callable[[Any], Awaitable[None]]:
    async def guarded(message: Any) -> None:
        if message["type"] == "http.response.start":
            more = [
                (b"content-security-policy", POLICY.encode()),
                (b"x-content-type-options", b"nosniff"),
                (b"referrer-policy", b"no-referrer"),
            ]
            message = {**message, "headers": [*message.get("headers", ()), *more]}
        await send(message)

    return guarded


async def _refuse(scope: Scope, receive: Any, send: Any, status: int, why: str) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008})
        return
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(why)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": why.encode()})
