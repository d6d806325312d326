"""The same line in SimPy: every animal, person, break and piece of work is a process of its own.

It reads a `Line`, plant, netlist and motion laws as they were stated, not the kernel's tables, and draws the same
numbers from its own generator, so its path must be the kernel's event by event. What both must agree on is the order
inside one instant: control, then animals from the last zone back to the first, then people by priority; again until
nothing more changes.
"""

from __future__ import annotations

from stockproof.flow.model import Line
from stockproof.motion.laws import MotionLaws
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant
from tests.flow.oracle_control import Controller
from tests.flow.oracle_draws import Stream
from tests.flow.oracle_people import People
from tests.flow.oracle_things import Happening, Process, Signal

__all__ = ["Happening", "Yard"]


class Yard(People):
    """One replication of a line."""

    def __init__(
        self,
        line: Line,
        netlist: Netlist | None = None,
        plant: Plant | None = None,
        laws: MotionLaws | None = None,
        *,
        seed: int,
        replication: int,
    ) -> None:
        super().__init__(line, plant, Stream(seed, replication))
        if netlist and plant:
            self.control = Controller(self, netlist, plant, laws)
            self.control.pressed |= dict.fromkeys(line.switched_on, 1)

    def run(self, latest_s: float = 8_000.0) -> list[Happening]:
        """Run until all animals are through, or so long; gives the path."""
        self.env.process(self._settle())
        self.env.process(self.arrivals())
        for person in self.crew:
            self.env.process(self.live(person))
        if self.line.breaks:
            self.env.process(self.breaks())
        self.stir()
        self.after(latest_s, self.all_through.give)
        self.env.run(until=self.all_through)
        return self.path

    def _settle(self) -> Process:
        """After everything that happens: control, animals, people, until nothing changes."""
        while True:
            yield self.bell
            self.bell, self.settling, self.changed = Signal(self.env), True, True
            while self.changed:
                self.changed = False
                if self.control:
                    self.control.turn()
                    yield from self.hands_off()
                yield from self.let_animals_go()
                yield from self.call_people()
            self.settling = False
