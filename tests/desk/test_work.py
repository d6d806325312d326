"""The worker: answers, faults and cancelling, each without ever stopping the loop that asked."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest

from stockproof.desk.store import CATALOGUE, Papers
from stockproof.desk.verbs import installation_of
from stockproof.desk.work import Cancelled, Faulty, Stopped, Worker
from stockproof.errors import InputError
from stockproof.proof.prove import QUICK
from tests.desk.loops import run

HILL = Path("examples/hill")


def papers_of(folder: Path) -> Papers:
    files = {path.name: path.read_bytes() for path in folder.glob("*.csv")}
    catalogue = Path("examples/firm/catalogue.toml").read_bytes()
    return Papers((folder / "brief.toml").read_text(encoding="utf-8"), {**files, CATALOGUE: catalogue})


def with_worker(use: Callable[[Worker], Awaitable[None]]) -> None:
    async def go() -> None:
        worker = Worker()
        try:
            await use(worker)
        finally:
            worker.close()

    run(go())


def test_papers_read_as_the_files_do() -> None:
    from stockproof.proof import read_installation

    there = read_installation(HILL / "brief.toml")
    here = installation_of(papers_of(HILL))
    assert here.brief.file == there.brief.file
    assert here.brief.weights_kg == there.brief.weights_kg
    assert here.codes == there.codes


def test_a_job_without_a_catalogue_says_so() -> None:
    papers = papers_of(HILL)
    files = {name: data for name, data in papers.files.items() if name != CATALOGUE}
    with pytest.raises(InputError, match=r"^brief.toml, catalogue: has no catalogue"):
        installation_of(Papers(papers.text, files))


def test_a_worker_checks_names_every_fault_and_goes_on() -> None:
    good = papers_of(HILL)
    bad = Papers(good.text.replace('outlet = "15 A"', 'outlet = "15 kg"').replace("rounds", ""), good.files)

    async def use(worker: Worker) -> None:
        await worker.do("check", good)
        with pytest.raises(Faulty) as faulty:
            await worker.do("check", bad)
        assert [fault.place.key for fault in faulty.value.faults] == ["site.supply[1].outlet"]
        with pytest.raises(RuntimeError, match="KeyError"):
            await worker.do("no such verb")
        await worker.do("check", good)

    with_worker(use)


def test_cancelling_ends_the_wait_and_the_next_request_is_answered() -> None:
    good = papers_of(HILL)

    async def use(worker: Worker) -> None:
        beats = 0
        asked = asyncio.ensure_future(worker.do("prove", good, QUICK))
        while not worker.busy or beats < 5:
            await asyncio.sleep(0.01)
            beats += 1
        worker.cancel()
        with pytest.raises(Cancelled, match="stopped"):
            await asked
        assert not worker.busy
        await worker.do("check", good)

    with_worker(use)


def test_a_stop_ends_a_run_and_keeps_its_process() -> None:
    good = papers_of(HILL)

    async def use(worker: Worker) -> None:
        await worker.do("check", good)
        process = worker._running
        asked = asyncio.ensure_future(worker.do("prove", good, QUICK))
        await asyncio.sleep(0)
        worker.stop()
        with pytest.raises(Stopped):
            await asked
        worker.stop()
        await worker.do("check", good)
        assert worker._running is process

    with_worker(use)
