"""Relief and release as a game: can one person always free the animal, whatever everybody else does?

The person plays against the plant: against other people at the controls, the running program, timers, the animal and
a single fault. The person may stop everything (an emergency stop, or the supply's isolator) and work one valve after
the other by hand, held to run with sight of the animal. A part worked by hand moves on by one position within every
step unless something opposes it. An override works the spool that its solenoid works, so a valve that sticks takes
both away; only a bypass at the cylinder, which joins both its sides, lets the part be pushed by hand then. The answer
is the least number of steps that is enough against every answer of the plant, from wherever the parts stand and whether
the animal stands or lies, or that there is none (an attractor: see E. Gradel, W. Thomas, T. Wilke, *Automata, Logics,
and Infinite Games*, 2002, chapter 2).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import product

from stockproof.logic.faults import Fault, FaultKind
from stockproof.netlist.model import InputKind, Netlist
from stockproof.plant.model import PartKind, Plant, PlantMotion, Position, Undriven

__all__ = ["Missing", "Relief", "relief_and_release"]

#: Nobody waits longer: more steps than this and the animal is not freed.
MOST_STEPS = 20


#: What is done to a part that holds the animal.
_FREED = {PartKind.SQUEEZE: "off", PartKind.LIFT: "down", PartKind.BAIL: "open"}


class Missing(Enum):
    """What would let a person move a part that cannot be moved."""

    NOTHING = ""
    ENERGY = "an accumulator or a hand pump"
    OVERRIDE = "a lever or a manual override on its valve"
    BYPASS = "a bypass at its cylinder, worked by hand"
    STAYS = "a valve or a latch that keeps it where it was opened to"


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
    part : str
        The part that it is about, or empty.
    missing : Missing
        What that part lacks.
    """

    fault: Fault | None
    relieve_steps: int | None
    release_steps: int | None
    means: str
    obstacle: str = ""
    part: str = ""
    missing: Missing = Missing.NOTHING

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
    lacks = ("", "", Missing.NOTHING) if release is not None else game.obstacle()
    return Relief(fault, relieve, release, _means(netlist, game), *lacks)


def _means(netlist: Netlist, game: _Game) -> str:
    """How the person silences the control: by a button if one can be trusted, else by the isolator; then each part."""
    fault = game.fault
    stops = [i for i in netlist.inputs if i.kind == InputKind.MAINTAINED and i.name.endswith("emergency_ok")]
    working = [i for i in stops if fault is None or fault.target != i.name or fault.kind == FaultKind.STUCK_OFF]
    first = (
        f"press an emergency stop ({working[0].name.partition('.')[0]})"
        if working
        else "switch off the supply at its isolator"
    )
    by_hand = [part for part in game.plant.parts if part.kind in _FREED and not part.powered]
    works = [f"work the valves by hand: {_in_words(game, game.parts)}" if game.parts else ""]
    works.append(
        f"work by hand: {', '.join(f'{part.label} {_FREED[part.kind]}' for part in by_hand)}" if by_hand else ""
    )
    return f"{first}, then {'; '.join(filter(None, works))}; hold the head bail open"


def _in_words(game: _Game, names: Sequence[str]) -> str:
    parts = [game.plant.parts[game.plant.part_at(name)] for name in names]
    return ", ".join(
        f"{part.label} {_FREED[part.kind]}{' (its bypass open, pushed by hand)' * game.pushed(part.name)}"
        for part in parts
    )


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

    def obstacle(self) -> tuple[str, str, Missing]:
        """What prevents it, the part it is about and what that part lacks."""
        for name in self.parts:
            if not self.pushed(name):
                label = self._label(name)
                if not any(motion.manual for motion in self._freeing(name)):
                    return f"{label} cannot be moved without electricity", name, Missing.OVERRIDE
                if not self.stored_energy:
                    return (
                        f"once everything is stopped no oil moves {label}: there is no store and no hand pump",
                        name,
                        Missing.ENERGY,
                    )
                if self._goes_back(name):
                    return f"{label} goes back by itself", name, Missing.STAYS
                if self._sticks(name):
                    words = f"the spool of {label} is stuck, and its override works the same spool"
                    return words, name, Missing.BYPASS
                if self._leaks(name):
                    return f"a leaking valve works against {label}", name, Missing.BYPASS
        return "the parts cannot be brought clear together", "", Missing.NOTHING

    def pushed(self, name: str) -> bool:
        """Whether the part is pushed by hand, since its own valve is no help."""
        return self._bypassed(name) and (self._sticks(name) or self._leaks(name))

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
        if self.pushed(name):
            return True
        worked = self.stored_energy and any(motion.manual for motion in self._freeing(name))
        return worked and not self._sticks(name)

    def _bypassed(self, name: str) -> bool:
        return any(motion.bypass for motion in self._freeing(name))

    def _opposed(self, name: str) -> bool:
        """Something closes the part again: its own spring or weight, or a stuck or leaking valve with no bypass."""
        if self._goes_back(name):
            return True
        return (self._struck(name, FaultKind.VALVE_DRIVES, Position.CLOSED) or self._leaks(name)) and not self.pushed(
            name
        )

    def _goes_back(self, name: str) -> bool:
        return any(m.undriven in (Undriven.SPRINGS_BACK, Undriven.BY_WEIGHT) for m in self._freeing(name))

    def _sticks(self, name: str) -> bool:
        """The valve's spool is stuck so that it closes the part, or so that it never opens it."""
        drives = self._struck(name, FaultKind.VALVE_DRIVES, Position.CLOSED)
        return drives or self._struck(name, FaultKind.VALVE_DEAD, Position.OPEN)

    def _leaks(self, name: str) -> bool:
        return self._struck(name, FaultKind.LEAKS, Position.OPEN)

    def _struck(self, name: str, kind: FaultKind, target: Position) -> bool:
        """Whether the fault is of this kind, in the motion of the part to such a position."""
        if self.fault is None or self.fault.kind != kind:
            return False
        part = self.plant.part_at(name)
        return any(m.name == self.fault.target and m.part == part and m.target == target for m in self.plant.motions)

    def _label(self, name: str) -> str:
        return self.plant.parts[self.plant.part_at(name)].label
