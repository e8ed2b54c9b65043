"""Who may come in to the design page: requests as a browser, a stranger and a hostile page would send them."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from wheelcad.page.doors import Doors, Keys

PORT = 8550


class Asked:
    """A door with a page behind it that says `in`."""

    def __init__(self, others: tuple[str, ...] = ()) -> None:
        self.keys = Keys(PORT, others)
        self.reached = 0

        async def page(scope: Any, receive: Any, send: Any) -> None:
            self.reached += 1
            await send({"type": "http.response.start", "status": 200, "headers": []})
            await send({"type": "http.response.body", "body": b"in"})

        self.door = Doors(page, self.keys)

    def __call__(
        self, path: str = "/", query: str = "", kind: str = "http", method: str = "GET", **headers: str
    ) -> tuple[int, dict[str, str]]:
        """Status (the websocket's close code) and headers of the answer. headers: host unless it is given."""
        sent: list[Any] = []
        headers = {"host": f"127.0.0.1:{PORT}"} | headers
        scope = {
            "type": kind, "path": path, "method": method, "query_string": query.encode(),
            "headers": [(k.encode(), v.encode()) for k, v in headers.items()],
        }  # fmt: skip

        async def send(message: Any) -> None:
            sent.append(message)

        async def receive() -> Any:
            return {"type": "websocket.connect"}

        asyncio.run(self.door(scope, receive, send))
        first = sent[0]
        told = {k.decode(): v.decode() for k, v in first.get("headers", [])}
        return int(first.get("status", first.get("code", 0))), told

    def cookie(self, key: str, path: str = "/") -> str:
        status, headers = self(path, f"key={key}")
        assert status == 303
        assert headers["location"] == path
        held, *how = headers["set-cookie"].split("; ")
        assert {"HttpOnly", "SameSite=Lax"} <= set(how)
        return held


def test_nobody_comes_in_without_a_key_and_the_key_leaves_the_address() -> None:
    asked = Asked()
    assert asked()[0] == 403
    assert asked(query="key=guess")[0] == 403
    assert asked(cookie=f"wheelcad_{PORT}=guess")[0] == 403
    cookie = asked.cookie(asked.keys.own)
    status, headers = asked(cookie=cookie)
    assert status == 200
    assert "'self'" in headers["content-security-policy"]
    assert asked.reached == 1


def test_a_one_time_key_lets_one_device_in_once() -> None:
    asked = Asked(("192.168.7.5",))
    key = asked.keys.one_time()
    cookie = asked.cookie(key)
    assert asked(query=f"key={key}")[0] == 403
    assert asked(cookie=cookie, host=f"192.168.7.5:{PORT}")[0] == 200


@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", "127.0.0.1", "127.0.0.1:1", "", "0.0.0.0:8550"]
)
def test_another_host_is_refused_even_with_the_key(host: str) -> None:
    asked = Asked()
    cookie = asked.cookie(asked.keys.own)
    assert asked(cookie=cookie, host=host)[0] == 421
    assert asked(query=f"key={asked.keys.own}", host=host)[0] == 421
    assert asked.reached == 0


def test_a_shared_address_is_a_host_only_where_it_was_shared() -> None:
    asked = Asked()
    assert asked(cookie=asked.cookie(asked.keys.own), host=f"192.168.7.5:{PORT}")[0] == 421


def test_another_sites_page_reaches_neither_requests_nor_the_live_connection() -> None:
    asked = Asked()
    cookie = asked.cookie(asked.keys.own)
    for kind, refused in (("http", 403), ("websocket", 1008)):
        assert asked(kind=kind, cookie=cookie, origin="https://evil.example", method="POST")[0] == refused
        assert asked(kind=kind, cookie=cookie, origin="null")[0] == refused
        assert asked(kind=kind)[0] == refused
    assert asked.reached == 0


def test_what_is_sent_must_say_its_size_and_be_no_larger_than_a_drop_of_files() -> None:
    asked = Asked()
    cookie = asked.cookie(asked.keys.own)
    assert asked(method="POST", cookie=cookie)[0] == 411
    assert asked(method="POST", cookie=cookie, **{"content-length": str(1 << 40)})[0] == 413
    assert asked(method="POST", cookie=cookie, **{"content-length": "-1"})[0] == 411
    assert asked.reached == 0
    assert asked(method="POST", cookie=cookie, **{"content-length": "1000"})[0] == 200


def test_no_redirect_leads_away() -> None:
    asked = Asked()
    _, headers = asked("//evil.example/", f"key={asked.keys.own}")
    assert headers["location"] == "/evil.example/"
