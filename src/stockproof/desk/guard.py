"""Stands before every request: wrong hosts, foreign origins, crooked paths and oversized bodies go no further.

Plain ASGI, so that it covers web sockets and mounted applications alike; it knows nothing of pages or people.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any

__all__ = ["LARGEST_BODY", "SAFE_METHODS", "Guard", "security_headers"]

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

#: Methods that change nothing.
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
#: A brief with its weights and a catalogue come to some 200 kB; nothing honest is larger.
LARGEST_BODY = 5_000_000
#: The page library compiles its templates in the browser, which needs both `unsafe` words; nothing is ever fetched
#: from another host, and no text of a user is written into a page unescaped.
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self' 'unsafe-inline' 'unsafe-eval'",
        "style-src 'self' 'unsafe-inline'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "object-src 'none'",
    )
)


def security_headers() -> dict[str, str]:
    """Give the headers that every answer carries.

    The referrer stays within this desk; with none at all a browser would post the login's form from `null`, which no
    desk can tell from a foreign page.
    """
    return {
        "content-security-policy": POLICY,
        "x-content-type-options": "nosniff",
        "x-frame-options": "DENY",
        "referrer-policy": "same-origin",
        "cross-origin-opener-policy": "same-origin",
        "cross-origin-resource-policy": "same-origin",
        "permissions-policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
    }


class Guard:
    """ASGI middleware.

    Parameters
    ----------
    app : ASGI application
    hosts : iterable of str
        What a Host header may say, with port: `127.0.0.1:8700`.
    largest_body : int
        Bytes of a request's body beyond which it is refused.
    """

    def __init__(self, app: App, hosts: Iterable[str], largest_body: int = LARGEST_BODY) -> None:
        self.app = app
        self.hosts = frozenset(hosts)
        self.origins = frozenset(f"{scheme}://{host}" for host in self.hosts for scheme in ("http", "https"))
        self.largest_body = largest_body

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        status = self._refusal(scope)
        if status:
            await _refuse(scope, send, status)
        elif scope["type"] == "websocket":
            await self.app(scope, receive, send)
        else:
            await self.app(scope, self._limited(receive), _with_headers(scope, send))

    def _refusal(self, scope: Scope) -> int:
        """Give the status a request is refused with, or 0."""
        hosts, origins = _values(scope, b"host"), _values(scope, b"origin")
        if len(hosts) != 1 or hosts[0] not in self.hosts:
            return 403
        changes = scope["type"] == "websocket" or scope["method"] not in SAFE_METHODS
        if len(origins) > 1 or (origins and origins[0] not in self.origins) or (changes and not origins):
            return 403
        if _crooked(scope):
            return 400
        lengths = _values(scope, b"content-length")
        if lengths and (len(lengths) > 1 or not lengths[0].isdecimal()):
            return 400
        return 413 if lengths and int(lengths[0]) > self.largest_body else 0

    def _limited(self, receive: Receive) -> Receive:
        """Count a body that did not say its length, and cut it off where it grows too large."""
        seen = 0

        async def counted() -> Message:
            nonlocal seen
            message = await receive()
            seen += len(message.get("body", b""))
            return {"type": "http.disconnect"} if seen > self.largest_body else message

        return counted


def _values(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope["headers"] if key == name]


def _crooked(scope: Scope) -> bool:
    """A path that climbs, hides separators or carries control characters, however it was written."""
    path: str = scope["path"]
    parts = path.replace("\\", "/").split("/")
    return ".." in parts or "\\" in path or any(ord(letter) < 32 for letter in path) or "//" in path


async def _refuse(scope: Scope, send: Send, status: int) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    words = {403: b"refused: this request did not come from this desk's own pages", 413: b"refused: too large"}
    headers = {**security_headers(), "content-type": "text/plain; charset=utf-8"}
    await send({"type": "http.response.start", "status": status, "headers": _encoded(headers)})
    await send({"type": "http.response.body", "body": words.get(status, b"refused")})


def _with_headers(scope: Scope, send: Send) -> Send:
    private = not scope["path"].startswith(("/_nicegui/", "/desk-files/"))

    async def adding(message: Message) -> None:
        if message["type"] == "http.response.start":
            added = security_headers() | ({"cache-control": "no-store"} if private else {})
            names = {key.encode() for key in added}
            kept = [(key, value) for key, value in message["headers"] if key.lower() not in names]
            message["headers"] = kept + _encoded(added)
        await send(message)

    return adding


def _encoded(headers: dict[str, str]) -> list[tuple[bytes, bytes]]:
    return [(key.encode(), value.encode()) for key, value in headers.items()]
