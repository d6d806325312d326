"""A user's rehearsal of a job: it outlives the page that shows it, and the process that plays it.

The stage process plays it under a key. What was done in it is kept here, at the very moments it was done, so that it
is played again to the same state where that process no longer has it.
"""

from __future__ import annotations

import asyncio
import secrets
from dataclasses import replace
from typing import Any

from stockproof.desk.rehearsing import GONE, Begin
from stockproof.desk.store import Papers
from stockproof.desk.telling import Tale
from stockproof.desk.work import Worker
from stockproof.flow.live import Act

__all__ = ["Performance"]


class Performance:
    """See the module.

    Parameters
    ----------
    stage : Worker
        The process all rehearsals of a desk are played by.
    """

    def __init__(self, stage: Worker) -> None:
        self.stage, self.key = stage, secrets.token_hex(8)
        self.begun: Begin | None = None
        self.papers: Papers | None = None
        self.tales: tuple[Tale, ...] = ()
        self.run = 0
        self.holder: object = None
        self.turn = asyncio.Lock()
        self._past = False

    @property
    def pressed(self) -> tuple[str, ...]:
        """Buttons that somebody has pressed and not let go."""
        hands: dict[str, int] = {}
        for act in self.begun.acts if self.begun else ():
            if act.verb == "press":
                hands[act.name] = max(0, hands.get(act.name, 0) + (1 if act.on else -1))
        return tuple(name for name, held in hands.items() for _ in range(held))

    async def begin(self, begin: Begin, papers: Papers | None) -> tuple[dict[str, Any], dict[str, Any]]:
        """Begin anew and give the still picture beside the first moment.

        Raises
        ------
        Faulty
            It cannot be rehearsed so.
        """
        async with self.turn:
            still, first = await self._ask("begin", begin)
            self.run += 1
            self.tales = self.tales if papers == self.papers else ()
            self.begun, self.papers = begin, papers
            self._remember("begin", (), first)
            return self._of_this_run(still, first)

    async def open(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """Give the still picture beside the moment it stands at; it must have begun."""
        async with self.turn:
            still, moment = await self._played("open")
            return self._of_this_run(still, moment)

    async def do(self, what: str, *arguments: Any) -> dict[str, Any]:
        """Do one thing and give the moment it leads to.

        Raises
        ------
        Faulty
            There is nothing of that name to act on.
        """
        async with self.turn:
            moment: dict[str, Any] = await self._played(what, *arguments)
            self._remember(what, arguments, moment)
            return {**moment, "run": self.run}

    async def tale(self, tale: Tale) -> list[dict[str, Any]]:
        """Give the moments of a story.

        Raises
        ------
        Faulty
            The story is of another build than the one rehearsed.
        """
        async with self.turn:
            moments: list[dict[str, Any]] = await self._played("tale", tale)
            return moments

    async def _played(self, what: str, *arguments: Any) -> Any:
        answer = await self._ask(what, *arguments)
        if answer == GONE and self.begun is not None:
            await self._ask("begin", self.begun)
            answer = await self._ask(what, *arguments)
        return answer

    async def _ask(self, what: str, *arguments: Any) -> Any:
        """Nobody who leaves while the stage works may stop it: it plays for others too."""
        asked = asyncio.get_running_loop().create_task(self.stage.do("rehearse", self.key, what, *arguments))
        asked.add_done_callback(lambda done: done.cancelled() or done.exception())
        return await asyncio.shield(asked)

    def _remember(self, what: str, arguments: tuple[Any, ...], moment: dict[str, Any]) -> None:
        """Keep what was done; going on or acting at a moment looked back on drops what came after it."""
        begun = self.begun
        assert begun is not None
        acts, (at_s, latest_s) = begun.acts, moment.pop("exact")
        if self._past and what not in ("look", "show"):
            acts = tuple(act for act in acts if act.time_s <= begun.at_s)
        if what == "act":
            acts = (*acts, Act(at_s, *arguments))
        self._past = moment["past"]
        self.begun = replace(begun, acts=acts, until_s=latest_s, at_s=at_s)

    def _of_this_run(self, still: dict[str, Any], moment: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
        moment.pop("exact", None)
        return {**still, "run": self.run}, {**moment, "run": self.run}
