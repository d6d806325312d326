"""Every number a room's page prints says where it comes from, and it is the number it says it is."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from stockproof.desk.rooms import ROOMS, Room, room_page
from stockproof.figures import Figure
from stockproof.proof import Proof, prove, read_installation
from stockproof.proof.day import Effort
from stockproof.scene.pages import Cell, Facts, Quantity, Said, Table

BRIEFS = Path("examples")
#: Everything a page can show, in few runs.
ALL = Effort(replications=20, variant_replications=2, replays=True, checks=True, faults=False)
JOBS = ("hill", "dairy", "feedlot")
#: Of the numbers in the tables and lists of all rooms together, so many open their provenance.
FLOOR = 0.98


@cache
def proof_of(job: str) -> Proof:
    return prove(read_installation(BRIEFS / job / "brief.toml"), ALL, workers=1)


def _cells(proof: Proof, room: Room) -> Iterator[tuple[str, Cell]]:
    for section in room.sections(proof.rooms):
        for part in section.parts:
            if isinstance(part, Table):
                yield from ((part.name, cell) for row in part.rows for cell in row)
            elif isinstance(part, Facts):
                yield from ((section.title, cell) for _, cell in part.rows)


def _numbers(proof: Proof) -> Iterator[tuple[str, Quantity | Said | float]]:
    for room in ROOMS:
        if room.answers(proof.rooms):
            for where, cell in _cells(proof, room):
                if isinstance(cell, Quantity | Said | int | float):
                    yield f"{room.name}, {where}", cell


@pytest.mark.parametrize("job", JOBS)
def test_nearly_every_number_of_the_rooms_opens_its_provenance(job: str) -> None:
    proof = proof_of(job)
    numbers = list(_numbers(proof))
    assert len(numbers) > 800
    bare = [(where, cell) for where, cell in numbers if not getattr(cell, "figure", "")]
    assert 1 - len(bare) / len(numbers) >= FLOOR, bare[:20]


@pytest.mark.parametrize("job", JOBS)
def test_what_is_printed_is_the_figure_that_is_named(job: str) -> None:
    proof = proof_of(job)
    ledger = proof.rooms.ledger
    wrong: list[tuple[str, object, object]] = []
    for where, cell in _numbers(proof):
        name = getattr(cell, "figure", "")
        if name and name not in ledger:
            wrong.append((where, cell, "no such figure"))
        elif isinstance(cell, Quantity) and name and not _prints(cell, ledger[name]):
            wrong.append((where, cell, ledger[name].value))
    assert not wrong, wrong[:20]


def _prints(cell: Quantity, figure: Figure) -> bool:
    """The figure, an end of its band, or the figure to the whole unit where its unit stands in the column's head."""
    known = [figure.value, *(figure.band or ())]
    return any(
        cell.value == pytest.approx(value, rel=1e-9, abs=1e-12) or (cell.unit == "1" and cell.value == round(value))
        for value in known
    )


def test_every_room_has_figures_of_its_own() -> None:
    proof = proof_of("hill")
    for room in ROOMS:
        assert any(figure.name.split(".")[0] in room.figures for figure in proof.rooms.ledger), room.name


def test_a_cell_of_a_table_is_a_button_that_opens_its_figure() -> None:
    rest = room_page(proof_of("hill"), "flow").rest
    assert 'data-figure="flow.weaning weigh and draft.rate"' in rest
    assert 'data-figure="flow.weaning weigh and draft.finish"' in rest
