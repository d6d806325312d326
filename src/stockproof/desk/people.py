"""Who is at the desk: the name on a request, set by the gate or, on this machine alone, its user's."""

from __future__ import annotations

import getpass

from nicegui import ui
from starlette.requests import HTTPConnection

__all__ = ["SCOPE_KEY", "name_on", "who"]

#: Where the gate puts the name of who logged in.
SCOPE_KEY = "stockproof.who"


def who() -> str:
    """Give the name of who asked for the page being built."""
    return name_on(ui.context.client.request)


def name_on(request: HTTPConnection | None) -> str:
    """Give the name on a request; without a gate it is this machine's user."""
    named = request.scope.get(SCOPE_KEY, "") if request is not None else ""
    return str(named) or getpass.getuser()
