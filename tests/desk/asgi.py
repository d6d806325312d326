"""Asks an ASGI application without a server: requests through httpx, web sockets by hand."""

from __future__ import annotations

from collections.abc import Awaitable
from typing import Any

import httpx

from stockproof.desk.guard import App, Message
from tests.desk.loops import run


def ask(app: App, base: str, method: str, path: str, **options: Any) -> httpx.Response:
    """Send one request and give the answer."""

    async def go() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url=base) as client:
            return await client.request(method, path, **options)

    return run(go())


def _run(awaitable: Awaitable[None]) -> None:
    async def go() -> None:
        await awaitable

    run(go())


def socket(app: App, host: str, path: str, headers: dict[str, str] | None = None) -> list[Message]:
    """Open a web socket and give what the application sent."""
    named = {"host": host, **(headers or {})}
    scope = {
        "type": "websocket",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "scheme": "ws",
        "headers": [(key.encode(), value.encode()) for key, value in named.items()],
        "subprotocols": [],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 2),
    }
    sent: list[Message] = []

    async def receive() -> Message:
        return {"type": "websocket.connect"}

    async def send(message: Message) -> None:
        sent.append(message)

    _run(app(scope, receive, send))
    return sent


def raw_status(app: App, host: str, path: str) -> int:
    """Give the status of a GET whose path is sent exactly so, as no honest client sends it."""
    scope = {
        "type": "http",
        "method": "GET",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "scheme": "http",
        "headers": [(b"host", host.encode())],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 2),
    }
    sent: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Message) -> None:
        sent.append(message)

    _run(app(scope, receive, send))
    return int(sent[0]["status"])
