"""Lines shared by the tests of this room: a small yard with the real logic, and one prepared from a brief."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from stockproof.flow.model import (
    Catch,
    Line,
    Mob,
    Passage,
    Person,
    Press,
    Task,
    Zone,
    constant,
    lognormal,
    seen,
)
from stockproof.logic import assemble, lower
from stockproof.logic.rig import SMALL, devices_of, plant_of
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant


@dataclass(frozen=True)
class Small:
    """A crush with entry gate and bail that catches by itself, an operator and a worker."""

    line: Line
    netlist: Netlist
    plant: Plant


def small_line(head: int = 40) -> Line:
    """The line of the event-by-event check; times are set so that no catch fails."""
    return Line(
        zones=(
            Zone("pen", 10**6, headway=lognormal(1.0, 0.3)),
            Zone("race", 4, transit=lognormal(4.0, 0.3), headway=lognormal(1.5, 0.3)),
            Zone(
                "crush",
                1,
                waits_for_work=False,
                catch=Catch("bail", 2.4, -0.3, 0.6, 1.0, 2.2, head_at=0.05, neck_at=0.5),
                work_zone=True,
            ),
            Zone("out", 10**6),
        ),
        passages=(
            Passage("pen", "race", crossing=lognormal(2.0, 0.3)),
            Passage("race", "crush", crossing=lognormal(4.0, 0.1), paced=True),
            Passage("crush", "out", crossing=lognormal(1.5, 0.3)),
        ),
        mob=Mob(head, pace=lognormal(1.0, 0.1)),
        tasks=(
            Task("look", "crush", lognormal(9.0, 0.5), "vet", needs=(seen("held", "crush"), seen("closed", "bail"))),
        ),
        crew=(Person("operator", ("controls",)), Person("vet", ("vet",))),
        presses=(
            Press("reset", "panel.reset", (~seen("signal", "line.ready"),), "controls", reaction=lognormal(0.8, 0.3)),
            Press(
                "start",
                "panel.start",
                (seen("signal", "line.ready"), ~seen("signal", "line.running")),
                "controls",
                reaction=lognormal(0.8, 0.3),
            ),
            Press(
                "done",
                "panel.done",
                (seen("done", "crush"), seen("signal", "program.work")),
                "controls",
                reaction=lognormal(0.8, 0.3),
            ),
        ),
        switched_on=("panel.hold", "panel.emergency_ok"),
    )


@pytest.fixture(scope="session")
def small() -> Small:
    return Small(small_line(), lower(assemble(devices_of(SMALL))), plant_of(SMALL))


__all__ = ["Small", "constant", "small_line"]
