"""Relief and release as a game: can one person always free the animal, whatever everybody else does?

The person plays against the plant: against other people at the controls, the running program, timers, the animal and
a single fault. The person may stop everything (an emergency stop, or the supply's isolator) and work one valve after
the other by hand, held to run with sight of the animal. A part worked by hand moves on by one position within every
step unless a driven or stuck valve opposes it. The answer is the least number of steps that is enough against every
answer of the plant, from wherever the parts stand and whether the animal stands or lies, or that there is none (an
attractor: see E. Gradel, W. Thomas, T. Wilke, *Automata, Logics, and Infinite Games*, 2002, chapter 2).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from stockproof.logic.faults import Fault, FaultKind
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import PartKind, Plant, PlantMotion, Position, Undriven

__all__ = ["Relief", "relief_and_release"]

#: Nobody waits longer: more steps than this and the animal is not freed.
MOST_STEPS = 20


@dataclass(frozen=True, slots=True)
class Relief:
    """Whether the animal can be freed under one fault (or none), and in how many steps.

    Parameters
    ----------
    relieve_steps, release_steps : int or None
        Steps that are enough to relieve (squeeze off, head lift down), and then to open the bail; None where the
        plant can prevent it for ever.
    means : str
        What the person does.
    obstacle : str
        What prevents it, or empty.
    """

    fault: Fault | None
    relieve_steps: int | None
    release_steps: int | None
    means: str
    obstacle: str = ""

    @property
    def forced(self) -> bool:
        return self.relieve_steps is not None and self.release_steps is not None


def relief_and_release(
    netlist: Netlist, plant: Plant, faults: Iterable[Fault] = (), stored_energy: bool = True
) -> tuple[Relief, ...]:
    """Solve the game without a fault and under each of the faults.

    Parameters
    ----------
    stored_energy : bool
        An accumulator or a hand pump moves the parts while there is no electricity.
    """
    return tuple(_solve(netlist, plant, fault, stored_energy) for fault in (None, *faults))


def _solve(netlist: Netlist, plant: Plant, fault: Fault | None, stored_energy: bool) -> Relief:
    holding = [part.name for part in plant.parts if part.kind in (PartKind.SQUEEZE, PartKind.LIFT) and part.powered]
    bails = [part.name for part in plant.parts if part.kind == PartKind.BAIL and part.powered]
    game = _Game(plant, [*holding, *bails], fault, stored_energy)
    relieve = game.steps(set(holding))
    release = game.steps({*holding, *bails}) if relieve is not None else None
    obstacle = "" if release is not None else game.obstacle([*holding, *bails])
    return Relief(fault, relieve, release, _means(netlist, fault), obstacle)


def _means(netlist: Netlist, fault: Fault | None) -> str:
    """How the person silences the control: by a button if one can be trusted, else by the isolator."""
    stops = [i for i in netlist.inputs if i.kind == InputKind.MAINTAINED and i.name.endswith("emergency_ok")]
    working = [i for i in stops if fault is None or fault.target != i.name or fault.kind == FaultKind.STUCK_OFF]
    first = (
        f"press an emergency stop ({working[0].name.partition('.')[0]})"
        if working
        else "switch off the supply at its isolator"
    )
    return f"{first}, then work the valves by hand: squeeze off, head lift down, bail open, and hold it open"


@dataclass(frozen=True, slots=True)
class _Game:
    """Positions of the parts that hold the animal; the control is silent once the person has stopped everything."""

    plant: Plant
    parts: Sequence[str]
    fault: Fault | None
    stored_energy: bool

    def steps(self, wanted: set[str]) -> int | None:
        """Least number of steps, stopping everything being the first, that frees the wanted parts for certain."""
        goal = {s for s in self._states() if all(s[self.parts.index(name)] == Position.OPEN for name in wanted)}
        won = set(goal)
        for count in range(1, MOST_STEPS + 1):
            if len(won) == len(list(self._states())):
                return count
            more = {s for s in self._states() if s not in won and self._can_force(s, won)}
            if not more:
                return None
            won |= more
        return None

    def obstacle(self, wanted: Sequence[str]) -> str:
        for name in wanted:
            if not self._by_hand(name):
                return f"{self._label(name)} cannot be moved without electricity"
            if self._opposed(name):
                return f"a stuck or leaking valve works against {self._label(name)}"
        return "the parts cannot be brought clear together"

    def _states(self) -> Iterator[tuple[int, ...]]:
        yield from product((Position.CLOSED, Position.MID, Position.OPEN), repeat=len(self.parts))

    def _can_force(self, state: tuple[int, ...], won: set[tuple[int, ...]]) -> bool:
        """Some part worked by hand leads into what is won, whatever the plant answers."""
        return any(
            all(answer in won for answer in self._answers(state, k)) for k in range(len(self.parts)) if self._useful(k)
        )

    def _useful(self, k: int) -> bool:
        return self._by_hand(self.parts[k]) and not self._opposed(self.parts[k])

    def _answers(self, state: tuple[int, ...], worked: int) -> Iterator[tuple[int, ...]]:
        """What may follow: the worked part moves on, each other part stays or goes where its fault takes it."""
        choices: list[tuple[int, ...]] = []
        for k, name in enumerate(self.parts):
            if k == worked:
                choices.append((min(state[k] + 1, Position.OPEN),))
            elif self._opposed(name):
                choices.append(tuple({state[k], max(state[k] - 1, Position.CLOSED)}))
            else:
                choices.append((state[k],))
        yield from product(*choices)

    def _freeing(self, name: str) -> list[PlantMotion]:
        part = self.plant.part_at(name)
        return [m for m in self.plant.motions if m.part == part and m.target == Position.OPEN]

    def _by_hand(self, name: str) -> bool:
        return self.stored_energy and any(motion.manual for motion in self._freeing(name))

    def _opposed(self, name: str) -> bool:
        """Something closes the part again: a valve stuck driven, a leak, or its own spring or weight."""
        part = self.plant.part_at(name)
        mine = {m.name: m for m in self.plant.motions if m.part == part}
        if any(m.undriven in (Undriven.SPRINGS_BACK, Undriven.BY_WEIGHT) for m in self._freeing(name)):
            return True
        if self.fault is None or self.fault.target not in mine:
            return False
        closing = mine[self.fault.target].target == Position.CLOSED
        drives = self.fault.kind == FaultKind.VALVE_DRIVES and closing
        return drives or (self.fault.kind == FaultKind.LEAKS and not closing)

    def _label(self, name: str) -> str:
        return self.plant.parts[self.plant.part_at(name)].label
