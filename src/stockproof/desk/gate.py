"""The gate of a desk that others may reach: one password, names, signed sessions, and patience with wrong guesses.

Plain ASGI around the whole application, web sockets too. Open without a session are only the login page, the style
and fonts, and a customer's read-only link, which is a secret of its own.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from base64 import b64decode, urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Callable
from dataclasses import dataclass, field
from html import escape
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from stockproof.desk.guard import App, Receive, Scope, Send
from stockproof.desk.people import SCOPE_KEY

__all__ = ["LEAST_PASSWORD", "Gate", "Patience", "Sessions"]

COOKIE = "stockproof_session"
OPEN = ("/login", "/desk-files/", "/show/")
LEAST_PASSWORD = 10
LONGEST_NAME = 60
#: A working day; after it the name and password are asked again. [s]
SESSION_S = 12 * 3600
LARGEST_FORM = 4096
ASK_BASIC = ((b"www-authenticate", b'Basic realm="Stockproof", charset="UTF-8"'),)


@dataclass
class Patience:
    """Slows guessing down: after a few wrong passwords an address waits, longer each time.

    Parameters
    ----------
    free : int
        Wrong guesses before the first wait.
    first_wait_s, longest_wait_s : float
        The first wait and the longest; each wrong guess doubles it.
    now : callable
        Gives the seconds of a clock that never goes back.
    """

    free: int = 5
    first_wait_s: float = 5.0
    longest_wait_s: float = 900.0
    now: Callable[[], float] = time.monotonic
    _wrong: dict[str, tuple[int, float]] = field(default_factory=dict)

    def wait_s(self, address: str) -> float:
        """Give how long an address has to wait before its next guess counts."""
        return max(0.0, self._wrong.get(address, (0, 0.0))[1] - self.now())

    def wrong(self, address: str) -> None:
        """Note a wrong guess."""
        count = self._wrong.get(address, (0, 0.0))[0] + 1
        doublings = min(count - self.free, 20)
        wait = min(self.first_wait_s * 2.0**doublings, self.longest_wait_s) if doublings >= 0 else 0.0
        if len(self._wrong) > 10_000:
            self._wrong.clear()  # a flood from invented addresses must not fill the memory
        self._wrong[address] = (count, self.now() + wait)

    def right(self, address: str) -> None:
        """Forget an address's wrong guesses."""
        self._wrong.pop(address, None)


class Sessions:
    """Signed tokens that carry a name and the moment they end; another password or secret makes them void."""

    def __init__(self, secret: str, password: str, now: Callable[[], float] = time.time) -> None:
        self._key = hmac.new(secret.encode(), password.encode(), hashlib.sha256).digest()
        self._now = now

    def token(self, name: str) -> str:
        """Give a token for a name."""
        until = int(self._now() + SESSION_S)
        body = f"{until}|{secrets.token_hex(8)}|{name}".encode()
        return f"{_text(body)}.{_text(self._sign(body))}"

    def name(self, token: str) -> str:
        """Give the name in a token, or an empty string where it is not ours or has ended."""
        head, _, tail = token.partition(".")
        body, signature = _bytes(head), _bytes(tail)
        if not hmac.compare_digest(signature, self._sign(body)):
            return ""
        until, _, rest = body.decode().partition("|")
        return rest.partition("|")[2] if int(until) > self._now() else ""

    def _sign(self, body: bytes) -> bytes:
        return hmac.new(self._key, body, hashlib.sha256).digest()


class Gate:
    """ASGI middleware; puts the name of who is there on every request it lets in."""

    def __init__(self, app: App, password: str, secret: str, patience: Patience | None = None) -> None:
        self.app, self.password = app, password
        self.sessions = Sessions(secret, password)
        self.patience = patience or Patience()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        name = self.sessions.name(_cookie(scope))
        path: str = scope["path"]
        if path == "/login" and scope["type"] == "http":
            await self._login(scope, receive, send)
        elif path == "/logout" and scope["type"] == "http":
            await _redirect(send, "/login", f"{COOKIE}=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0")
        elif name or path.startswith(OPEN):
            scope[SCOPE_KEY] = name
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
        elif path.startswith("/api"):
            await self._program(scope, receive, send)
        else:
            await _redirect(send, "/login")

    async def _program(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a program in that sends name and password with each request (HTTP basic authentication, RFC 7617)."""
        name, _, given = _basic(scope).partition(":")
        address = _address(scope)
        wait = self.patience.wait_s(address)
        if wait > 0:
            await _answer(send, 429, f"too many wrong passwords: wait {wait:.0f} s", "text/plain")
        elif not given or not _is_name(name):
            await _answer(send, 401, "send a name and the desk's password", "text/plain", ASK_BASIC)
        elif not hmac.compare_digest(given.encode(), self.password.encode()):
            self.patience.wrong(address)
            await _answer(send, 401, "that is not the password", "text/plain", ASK_BASIC)
        else:
            self.patience.right(address)
            scope[SCOPE_KEY] = name
            await self.app(scope, receive, send)

    async def _login(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["method"] != "POST":
            await _answer(send, 200, _page(""))
            return
        address = _address(scope)
        wait = self.patience.wait_s(address)
        if wait > 0:
            await _answer(send, 429, _page(f"Too many wrong passwords. Wait {wait:.0f} s."))
            return
        fields = parse_qs((await _body(receive)).decode("utf-8", "replace"), max_num_fields=8)
        name = " ".join(fields.get("name", [""])[0].split())
        given = fields.get("password", [""])[0]
        if not hmac.compare_digest(given.encode(), self.password.encode()):
            self.patience.wrong(address)
            await _answer(send, 403, _page("That is not the password."))
        elif not _is_name(name):
            await _answer(send, 400, _page("Write your name, as the history of the jobs shall show it."))
        else:
            self.patience.right(address)
            cookie = f"{COOKIE}={self.sessions.token(name)}; Path=/; HttpOnly; SameSite=Strict; Max-Age={SESSION_S}"
            await _redirect(send, "/", cookie)


def _address(scope: Scope) -> str:
    return str((scope.get("client") or ("",))[0])


def _is_name(name: str) -> bool:
    return bool(name.strip()) and len(name) <= LONGEST_NAME and name.isprintable()


def _basic(scope: Scope) -> str:
    """The `name:password` of a request that carries one, else nothing."""
    for key, value in scope["headers"]:
        scheme, _, rest = value.decode("latin-1").partition(" ")
        if key == b"authorization" and scheme.lower() == "basic":
            try:
                return b64decode(rest, validate=True).decode()
            except ValueError:
                return ""
    return ""


def _cookie(scope: Scope) -> str:
    jar: SimpleCookie = SimpleCookie()
    try:
        for key, value in scope["headers"]:
            if key == b"cookie":
                jar.load(value.decode("latin-1"))
    except CookieError:
        return ""
    return jar[COOKIE].value if COOKIE in jar else ""


async def _body(receive: Receive) -> bytes:
    body, more = b"", True
    while more and len(body) <= LARGEST_FORM:
        message = await receive()
        body += message.get("body", b"")
        more = bool(message.get("more_body", False))
    return body[:LARGEST_FORM]


async def _redirect(send: Send, to: str, cookie: str = "") -> None:
    headers = [(b"location", to.encode())] + ([(b"set-cookie", cookie.encode())] if cookie else [])
    await send({"type": "http.response.start", "status": 303, "headers": headers})
    await send({"type": "http.response.body", "body": b""})


async def _answer(
    send: Send, status: int, text: str, media: str = "text/html", more: tuple[tuple[bytes, bytes], ...] = ()
) -> None:
    headers = [(b"content-type", f"{media}; charset=utf-8".encode()), *more]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": text.encode()})


def _page(words: str) -> str:
    told = f'<p class="rust" role="alert">{escape(words)}</p>' if words else ""
    return f"""<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Stockproof</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><link rel="stylesheet" href="/desk-files/desk.css">
</head><body><div class="bench"><header class="head"><span class="mark">Stockproof</span></header>
<main class="sheet"><h1>Who is there?</h1>{told}<form method="post" action="/login" class="form">
<div class="ask"><label for="name">Name</label><input id="name" name="name" autocomplete="name" required maxlength="60">
<p class="says">As the history of the jobs shall show it.</p></div>
<div class="ask"><label for="password">Password</label>
<input id="password" name="password" type="password" autocomplete="current-password" required>
<p class="says">The desk's password, from whoever opened it.</p></div>
<p style="margin-top:1rem"><button class="chief">Come in</button></p></form></main></div></body></html>"""


def _text(data: bytes) -> str:
    return urlsafe_b64encode(data).decode().rstrip("=")


def _bytes(text: str) -> bytes:
    try:
        return urlsafe_b64decode(text + "=" * (-len(text) % 4))
    except ValueError:
        return b""
