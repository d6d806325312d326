"""The guard: what it lets through, what it refuses, and what it writes on every answer."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Any

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket

from stockproof.desk.guard import Guard, security_headers
from tests.desk import asgi

HERE = "127.0.0.1:8700"
HOME = f"http://{HERE}"


async def _echo(request: Request) -> PlainTextResponse:
    return PlainTextResponse(f"{request.method} {len(await request.body())}")


async def _socket(socket: WebSocket) -> None:
    await socket.accept()
    await socket.send_text("open")
    await socket.close()


def guarded(largest_body: int = 1000) -> Guard:
    routes = [Route("/{path:path}", _echo, methods=["GET", "POST"]), WebSocketRoute("/socket", _socket)]
    return Guard(Starlette(routes=routes), {HERE, "localhost:8700"}, largest_body)


def ask(method: str, path: str, **options: Any) -> httpx.Response:
    return asgi.ask(guarded(), HOME, method, path, **options)


def test_own_pages_pass_and_carry_the_headers() -> None:
    answer = ask("GET", "/brief")
    assert (answer.status_code, answer.text) == (200, "GET 0")
    for name, value in security_headers().items():
        assert answer.headers[name] == value
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:8701", "127.0.0.1:8700.evil.example", ""])
def test_another_host_is_refused(host: str) -> None:
    assert ask("GET", "/", headers={"host": host}).status_code == 403


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:8701", "https://127.0.0.1"])
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_origin_is_refused(method: str, origin: str) -> None:
    assert ask(method, "/", headers={"origin": origin}).status_code == 403


def test_what_changes_something_needs_an_origin() -> None:
    assert ask("POST", "/").status_code == 403
    assert ask("POST", "/", headers={"origin": HOME}).status_code == 200
    assert ask("GET", "/").status_code == 200


@pytest.mark.parametrize("path", ["/a/../b", "/..", "/a\\..\\b", "/a\x00b", "//b", "/a//b", "/a\nb"])
def test_crooked_paths_are_refused(path: str) -> None:
    assert asgi.raw_status(guarded(), HERE, path) == 400
    assert asgi.raw_status(guarded(), HERE, "/a/b.c") == 200


def test_a_body_that_is_too_large_is_refused_whether_it_says_so_or_not() -> None:
    assert ask("POST", "/", headers={"origin": HOME}, content=b"x" * 1000).status_code == 200
    assert ask("POST", "/", headers={"origin": HOME}, content=b"x" * 1001).status_code == 413

    async def stream() -> AsyncIterator[bytes]:
        for _ in range(20):
            yield b"x" * 100

    with pytest.raises(Exception, match=r"^$") as cut:
        ask("POST", "/", headers={"origin": HOME}, content=stream())
    assert type(cut.value).__name__ == "ClientDisconnect"


@pytest.mark.parametrize("origin", [None, "http://evil.example"])
def test_a_socket_without_our_origin_is_refused(origin: str | None) -> None:
    headers = {"origin": origin} if origin else {}
    assert asgi.socket(guarded(), HERE, "/socket", headers) == [{"type": "websocket.close", "code": 1008}]


def test_a_socket_of_our_own_pages_opens() -> None:
    sent = asgi.socket(guarded(), HERE, "/socket", {"origin": HOME})
    assert [message["type"] for message in sent][:2] == ["websocket.accept", "websocket.send"]


def test_a_socket_to_another_host_is_refused() -> None:
    sent = asgi.socket(guarded(), "evil.example", "/socket", {"origin": HOME})
    assert sent == [{"type": "websocket.close", "code": 1008}]
