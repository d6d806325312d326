"""How far the exhaustive search has come, on the screen: states looked at, and states a second."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import get_ident

from rich.console import Console
from rich.progress import Progress

__all__ = ["states_bar"]

#: Seconds between two changes of the line.
PAUSE_S = 0.2


@contextmanager
def states_bar(what: str) -> Iterator[Callable[[int, int], None]]:
    """Show on standard error how many states have been explored; gives the function that searches report to."""
    began = time.perf_counter()
    now: dict[int, int] = {}
    done = shown = 0.0
    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)

        def report(explored: int, found: int) -> None:
            nonlocal done, shown
            before = now.get(get_ident(), 0)
            # a search of its own begins where the count of this thread falls back
            done += explored - before if explored >= before else explored
            now[get_ident()] = explored
            passed = time.perf_counter() - began
            if passed - shown > PAUSE_S:
                shown = passed
                bar.update(task, description=f"{what}: {done:,.0f} states, {done / passed:,.0f} a second")

        yield report
