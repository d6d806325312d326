"""One user at one job: the draft being written, the faults in it, and the latest proof of it.

Every change saves the draft and asks the quick worker for fresh verdicts; the newest wish wins. Pages watch `turn`,
a number that grows whenever there is something new to show.
"""

from __future__ import annotations

import asyncio
import contextlib
import secrets
from dataclasses import dataclass, field
from typing import Any, TypeVar

from stockproof.desk import text as edits
from stockproof.desk.store import Job, Papers, Store
from stockproof.desk.work import Cancelled, Faulty, Stopped, Worker
from stockproof.desk.yarding import Plan
from stockproof.errors import Fault
from stockproof.proof import Proof
from stockproof.proof.day import Effort
from stockproof.proof.prove import FULL, QUICK
from stockproof.tomlfile import KeyPath, dotted

__all__ = ["Bench", "Office", "Run"]

T = TypeVar("T")


@dataclass(slots=True)
class Run:
    """A computation in the background: what it is doing, and how far it is."""

    what: str
    share: float = 0.0


@dataclass
class Office:
    """What all benches of this desk share: the store, the workers, and the benches already open."""

    store: Store
    quick: Worker = field(default_factory=Worker)
    draw: Worker = field(default_factory=Worker)
    slow: Worker = field(default_factory=Worker)
    full: Worker = field(default_factory=lambda: Worker(behind=True))
    stage: Worker = field(default_factory=Worker)
    quick_effort: Effort = QUICK
    full_effort: Effort | None = FULL
    benches: dict[tuple[int, str], Bench] = field(default_factory=dict)
    _proofs: dict[int, tuple[int, Proof]] = field(default_factory=dict)
    _plans: dict[int, tuple[int, Plan]] = field(default_factory=dict)
    _proposals: dict[tuple[int, int, bool], bytes] = field(default_factory=dict)

    def bench(self, job: int, who: str) -> Bench | None:
        """Give the bench of a user at a job, opened where need be; None where there is no such job."""
        if (job, who) not in self.benches:
            found = self.store.job(job)
            if found is None:
                return None
            self.benches[job, who] = Bench(self, found, who)
        return self.benches[job, who]

    async def proof_of(self, job: Job) -> Proof:
        """Give the proof of a job's latest revision, made once a revision.

        Raises
        ------
        Faulty
            The revision cannot be proved.
        """
        return await self._latest(self._proofs, job, "prove", self.quick_effort)

    async def plan_of(self, job: Job, width_mm: float) -> Plan:
        """Give the plan of the yard of a job's latest revision, made once a revision.

        Raises
        ------
        Faulty
            The revision cannot be proved.
        """
        return await self._latest(self._plans, job, "plan", width_mm)

    async def _latest(self, made: dict[int, tuple[int, T]], job: Job, verb: str, *arguments: object) -> T:
        """What a verb makes of a job's latest revision, made once a revision."""
        known = made.get(job.id)
        if known is None or known[0] != job.head:
            papers = self.store.head(job.id).papers
            known = made[job.id] = (job.head, await self.draw.do(verb, papers, *arguments))
        return known[1]

    async def proposal_of(self, job: Job, draft: bool) -> bytes:
        """Give the proposal of a job's latest revision as PDF, made once a revision.

        Raises
        ------
        Faulty
            The revision cannot be proved.
        """
        key = (job.id, job.head, draft)
        if key not in self._proposals:
            packed = await self.draw.do("pack", self.store.head(job.id).papers, self.quick_effort)
            made = await self.slow.do("proposal", packed, draft)
            self._proposals = {known: data for known, data in self._proposals.items() if known[0] != job.id}
            self._proposals[key] = made
        return self._proposals[key]

    async def warm(self) -> None:
        """Let the workers load what they need before anybody waits for it."""
        await asyncio.gather(self.quick.do("warm", "stockproof.proof"), self.draw.do("warm", "stockproof.desk.rooms"))

    def begin(self, papers: Papers, who: str, origin: str = "", what: str = "brought in") -> int:
        """Begin a job from papers and give its number."""
        title = str(edits.values(papers.text).get("title", "")) or "Untitled job"
        return self.store.create(title, papers, who, secrets.token_urlsafe(24), origin, what)

    def close(self) -> None:
        for worker in (self.quick, self.draw, self.slow, self.full, self.stage):
            worker.close()
        self.store.close()


class Bench:
    """See the module; made by `Office.bench`."""

    def __init__(self, office: Office, job: Job, who: str) -> None:
        self.office, self.job, self.who = office, job.id, who
        draft = office.store.draft(job.id, who)
        head = office.store.head(job.id)
        self.base = draft.base if draft else head.entry.number
        self.papers = draft.papers if draft else head.papers
        self.is_draft = draft is not None
        self.turn = 0
        self.faults: tuple[Fault, ...] = ()
        self.proof: Proof | None = None
        self.proved: Papers | None = None
        self.trouble = ""
        self.run: Run | None = None
        self.is_full = False
        self.stopped: Papers | None = None
        self.other: tuple[str, Papers, Proof] | None = None
        self.taps_s: list[float] = []
        self._values: tuple[str, dict[str, Any]] = ("", {})
        self._undone: list[Papers] = []
        self._task: asyncio.Task[None] | None = None
        self._full: asyncio.Task[None] | None = None
        self._rooms: dict[tuple[int, str], Any] = {}
        self._edition = 0
        self._shown: tuple[Papers, Effort] | None = None
        self._packed: tuple[int, asyncio.Task[bytes]] | None = None

    @property
    def values(self) -> dict[str, Any]:
        """The brief's values as written, unchecked."""
        if self._values[0] != self.papers.text:
            self._values = (self.papers.text, edits.values(self.papers.text))
        return self._values[1]

    @property
    def title(self) -> str:
        return str(self.values.get("title", "")) or "Untitled job"

    @property
    def edition(self) -> int:
        """A number that grows with every proof shown."""
        return self._edition

    @property
    def fresh(self) -> bool:
        """Whether verdicts and faults are those of the text as it stands."""
        return self.proved == self.papers

    def value(self, path: KeyPath) -> Any:
        return edits.value_at(self.values, path)

    def fault_at(self, path: KeyPath) -> tuple[Fault, ...]:
        """Give the faults of one key."""
        key = dotted(path)
        return tuple(fault for fault in self.faults if fault.place.key == key)

    def set(self, path: KeyPath, value: Any) -> None:
        """Write a value, or take the key out where it is None."""
        if value is None:
            self.change(edits.remove(self.papers.text, path))
        else:
            self.change(edits.set_value(self.papers.text, path, value))

    def change(self, text: str, files: dict[str, bytes] | None = None) -> None:
        """Take a new text, save it as this user's draft, and ask for fresh verdicts."""
        papers = Papers(text, {**self.papers.files, **(files or {})})
        if papers == self.papers:
            return
        self._undone.append(self.papers)
        self._take(papers)

    def step_back(self) -> None:
        """Undo the last change of this draft."""
        if self._undone:
            self._take(self._undone.pop())

    @property
    def can_step_back(self) -> bool:
        return bool(self._undone)

    def keep(self, what: str) -> None:
        """Keep the draft as the job's next revision.

        Raises
        ------
        Stale
            Somebody else kept one meanwhile.
        """
        self.base = self.office.store.keep(self.job, self.base, self.papers, self.title, self.who, what)
        self.is_draft = False
        self._undone.clear()
        self.turn += 1

    def keep_over(self, what: str) -> None:
        """Keep the draft after whatever was kept meanwhile; both stay in the history."""
        self.base = self.office.store.head(self.job).entry.number
        self.keep(what)

    def drop(self) -> None:
        """Throw the draft away and go on from the latest revision."""
        self.office.store.drop_draft(self.job, self.who)
        head = self.office.store.head(self.job)
        self.base, self.papers, self.is_draft = head.entry.number, head.papers, False
        self._undone.clear()
        self._ask()

    def back_to(self, number: int) -> None:
        """Take an earlier revision as the draft; keeping it adds a revision and removes none."""
        papers = self.office.store.revision(self.job, number).papers
        if papers != self.papers:
            self._undone.append(self.papers)
            self._take(papers)

    def newer(self) -> int | None:
        """Give the number of a revision that somebody kept after this draft's base, if there is one."""
        head = self.office.store.job(self.job)
        return head.head if head is not None and head.head > self.base else None

    def wake(self) -> None:
        """Ask for verdicts if there are none yet of the text as it stands."""
        if not self.fresh and (self._task is None or self._task.done()):
            self._ask()

    async def compare(self, words: str, papers: Papers) -> None:
        """Prove other papers to set beside these."""
        try:
            self.other = (words, papers, await self.office.draw.do("prove", papers, self.office.quick_effort))
        except (Faulty, Cancelled) as error:
            self.trouble = f"{words} cannot be compared: {error}"
        self.turn += 1

    def compare_no_more(self) -> None:
        self.other = None
        self.turn += 1

    async def room(self, verb: str, *arguments: Any) -> Any:
        """Have a page or document of the current proof made by the slow worker; made once a proof."""
        edition = self._edition
        key = (edition, verb + "/" + "/".join(map(str, arguments)))
        if key not in self._rooms:
            self._rooms = {known: made for known, made in self._rooms.items() if known[0] == edition}
            try:
                worker = self.office.draw if verb == "room" else self.office.slow
                made = await worker.do(verb, await self._whole(), *arguments, progress=self._progress)
            finally:
                self.run = None
                self.turn += 1
            if self._edition == edition:
                self._rooms[key] = made
            return made
        return self._rooms[key]

    async def _whole(self) -> bytes:
        """The whole of the proof that is shown, packed by the worker that proved it; asked for once."""
        if self._packed is None or self._packed[0] != self._edition:
            worker = self.office.full if self.is_full else self.office.quick
            asked = asyncio.get_running_loop().create_task(worker.do("pack", *(self._shown or ())))
            self._packed = (self._edition, asked)
        edition, asked = self._packed
        try:
            return await asyncio.shield(asked)
        except Exception:
            if asked.done() and self._packed == (edition, asked):
                self._packed = None  # the next who asks has it packed anew
            raise

    def _show(self, proof: Proof, papers: Papers, effort: Effort) -> None:
        self.proof, self._shown, self.faults = proof, (papers, effort), ()
        self.is_full = effort is self.office.full_effort
        self._edition += 1

    def stop(self) -> None:
        """Cancel what runs in the background."""
        self.office.full.stop(self)
        self.office.slow.cancel()
        self.run = None
        self.turn += 1

    def run_in_full(self) -> None:
        """Begin the whole run, where this desk makes one."""
        self.stopped, effort = None, self.office.full_effort
        if effort is not None:
            self._full = asyncio.get_running_loop().create_task(self._prove_in_full(self.papers, effort))

    def _progress(self, what: str, share: float) -> None:
        self.run = Run(what, share)
        self.turn += 1

    def _take(self, papers: Papers) -> None:
        self.papers, self.is_draft = papers, True
        self.office.store.save_draft(self.job, self.who, self.base, papers)
        self._ask()

    def _ask(self) -> None:
        self.turn += 1
        self.office.quick.stop(self)
        self.office.full.stop(self)
        if self._task is None or self._task.done():
            self._task = asyncio.get_running_loop().create_task(self._prove_until_fresh())

    async def _prove_until_fresh(self) -> None:
        """Prove the text as it stands, again if it changed meanwhile."""
        while not self.fresh:
            papers = self.papers
            self.trouble = ""
            try:
                effort = self.office.quick_effort
                self._show(await self.office.quick.do("prove", papers, effort, owner=self), papers, effort)
            except Faulty as error:
                self.faults = error.faults
            except Stopped:
                continue
            except Cancelled as error:
                self.trouble = str(error)
            except RuntimeError as error:
                self.trouble = f"this could not be proved; it is a fault of the program: {error}"
            self.proved = papers
            self.turn += 1
        if not self.faults and not self.trouble:
            self.run_in_full()

    async def _prove_in_full(self, papers: Papers, effort: Effort) -> None:
        """Run the whole proof in the background, and show it if the text is still the same."""
        try:
            proof = await self.office.full.do("prove", papers, effort, progress=self._progress, owner=self)
        except Cancelled:
            self.stopped = papers
            return
        except (Faulty, RuntimeError) as error:
            self.trouble = f"the full run failed: {error}"
            return
        finally:
            self.run = None
            self.turn += 1
        if papers == self.papers:
            self._show(proof, papers, effort)
            with contextlib.suppress(Cancelled):
                await self._whole()  # while the worker still has it: it took minutes
