"""The gate: nobody without the password, patience with guessing, sessions that cannot be made up."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket

from stockproof.desk.gate import COOKIE, SESSION_S, Gate, Patience, Sessions
from stockproof.desk.people import name_on
from stockproof.desk.server import _refuse_unguarded
from stockproof.errors import InputError
from tests.desk import asgi

PASSWORD = "a long invented password"
HOME = "http://desk.test"


async def _who(request: Request) -> PlainTextResponse:
    return PlainTextResponse(name_on(request))


async def _socket(socket: WebSocket) -> None:
    await socket.accept()
    await socket.send_text(name_on(socket))
    await socket.close()


def gate(patience: Patience | None = None) -> Gate:
    routes = [Route("/{path:path}", _who), WebSocketRoute("/socket", _socket)]
    return Gate(Starlette(routes=routes), PASSWORD, "secret", patience)


def ask(app: Gate, method: str, path: str, **options: Any) -> httpx.Response:
    return asgi.ask(app, HOME, method, path, **options)


def test_without_a_session_only_the_login_is_open() -> None:
    app = gate()
    assert ask(app, "GET", "/job/1/brief").headers["location"] == "/login"
    assert ask(app, "GET", "/api/openapi.json").status_code == 401
    assert ask(app, "GET", "/_nicegui/anything").status_code == 303
    assert "Who is there?" in ask(app, "GET", "/login").text
    assert ask(app, "GET", "/show/some-link").status_code == 200
    assert asgi.socket(app, "desk.test", "/socket") == [{"type": "websocket.close", "code": 1008}]


def test_name_and_password_open_pages_and_sockets_under_that_name() -> None:
    app = gate()
    answer = ask(app, "POST", "/login", data={"name": " Kim  Example ", "password": PASSWORD})
    cookie = answer.headers["set-cookie"]
    assert answer.status_code == 303
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    session = {"cookie": cookie.split(";")[0]}
    assert ask(app, "GET", "/job/1", headers=session).text == "Kim Example"
    assert asgi.socket(app, "desk.test", "/socket", session)[1]["text"] == "Kim Example"


@pytest.mark.parametrize("fields", [{"name": "Kim", "password": "wrong"}, {"name": "Kim"}, {}])
def test_a_wrong_password_is_refused(fields: dict[str, str]) -> None:
    answer = ask(gate(), "POST", "/login", data=fields)
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize("name", ["", "  ", "x" * 61, "a\x00b"])
def test_a_name_that_is_none_is_refused(name: str) -> None:
    answer = ask(gate(), "POST", "/login", data={"name": name, "password": PASSWORD})
    assert answer.status_code == 400
    assert "set-cookie" not in answer.headers


def test_guessing_is_slowed_and_even_the_right_password_waits() -> None:
    clock = [0.0]
    app = gate(Patience(free=3, first_wait_s=10, now=lambda: clock[0]))
    for _ in range(3):
        assert ask(app, "POST", "/login", data={"name": "x", "password": "guess"}).status_code == 403
    good = {"name": "Kim", "password": PASSWORD}
    assert ask(app, "POST", "/login", data=good).status_code == 429
    clock[0] = 9.9
    assert ask(app, "POST", "/login", data=good).status_code == 429
    clock[0] = 10.1
    assert ask(app, "POST", "/login", data=good).status_code == 303


def test_each_wrong_guess_doubles_the_wait_up_to_a_limit() -> None:
    patience = Patience(free=1, first_wait_s=5, longest_wait_s=30, now=lambda: 0.0)
    waits = []
    for _ in range(5):
        patience.wrong("a")
        waits.append(patience.wait_s("a"))
    assert waits == [5, 10, 20, 30, 30]
    assert patience.wait_s("b") == 0


def test_a_program_sends_name_and_password_with_each_request() -> None:
    app = gate(Patience(free=2, first_wait_s=10, now=lambda: 0.0))
    assert ask(app, "GET", "/api/check", auth=("Kim", PASSWORD)).text == "Kim"
    assert ask(app, "GET", "/job/1", auth=("Kim", PASSWORD)).headers["location"] == "/login"
    refused = ask(app, "GET", "/api/check")
    assert refused.status_code == 401
    assert refused.headers["www-authenticate"].startswith("Basic")
    for crooked in ("Basic", "Basic é", "Basic !!", "Bearer x"):
        assert ask(app, "GET", "/api/check", headers={"authorization": crooked.encode("latin-1")}).status_code == 401
    for _ in range(2):
        assert ask(app, "GET", "/api/check", auth=("Kim", "guess")).status_code == 401
    assert ask(app, "GET", "/api/check", auth=("Kim", PASSWORD)).status_code == 429


def test_a_token_cannot_be_made_up_changed_or_kept_too_long() -> None:
    now = [1000.0]
    sessions = Sessions("secret", PASSWORD, lambda: now[0])
    token = sessions.token("Kim|with|bars")
    assert sessions.name(token) == "Kim|with|bars"
    head, _, tail = token.partition(".")
    for wrong in ("", ".", "x", head, f"{head}.{tail[:-2]}AA", f"A{head}.{tail}", f"{head}.é"):
        assert sessions.name(wrong) == ""
    assert Sessions("secret", "another password", lambda: now[0]).name(token) == ""
    assert Sessions("another", PASSWORD, lambda: now[0]).name(token) == ""
    now[0] += SESSION_S + 1
    assert sessions.name(token) == ""


def test_a_crooked_cookie_is_nobody() -> None:
    assert ask(gate(), "GET", "/", headers={"cookie": f"{COOKIE}=;;;=\x7f"}).status_code == 303


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.5", "farm.example"])
def test_beyond_this_machine_a_password_is_a_must(host: str) -> None:
    with pytest.raises(InputError, match="the desk would be open to everybody"):
        _refuse_unguarded(host, "")
    with pytest.raises(InputError, match="the password is too short"):
        _refuse_unguarded(host, "short")
    _refuse_unguarded(host, PASSWORD)


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1"])
def test_on_this_machine_alone_none_is_needed(host: str) -> None:
    _refuse_unguarded(host, "")
