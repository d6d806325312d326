"""A rehearsal: one run of the flow kernel that waits for people, with hands on its controls and faults that strike.

The same line, seed and acts at the same times give the same rehearsal, to the byte, however it is stepped; so any
moment that was seen is had again by playing the acts anew, and nothing but the acts is kept.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np

from stockproof.errors import Fault, InputError, InternalError
from stockproof.flow import notes
from stockproof.flow import tables as t
from stockproof.flow.live_script import VERBS, Act, Script, Tables, Verb, tables_of
from stockproof.flow.live_seen import (
    AnimalSeen,
    Doing,
    Neck,
    PartSeen,
    PersonSeen,
    Snapshot,
    Walk,
    animals_in,
    bringing_in,
    parts_in,
    people_in,
)
from stockproof.flow.live_settings import BARRED, CATCH, Setting, ask_anew, bar, setting_of
from stockproof.flow.live_troubles import Trouble, TroubleKind, Troubles, troubles_of
from stockproof.flow.live_words import Teller, words_of_acts
from stockproof.flow.run import ENDINGS
from stockproof.flow.trace import Event
from stockproof.netlist.model import InputKind
from stockproof.plant.model import PartKind

__all__ = [
    "Act",
    "AnimalSeen",
    "Doing",
    "Live",
    "Neck",
    "PartSeen",
    "PersonSeen",
    "Script",
    "Setting",
    "Snapshot",
    "Trouble",
    "TroubleKind",
    "Verb",
    "troubles_of",
]

LOG_ROWS = 4096
#: Events in one call of the kernel: so few that the log of one call cannot run over.
STRETCH = 128
LAST_EVENTS = 200
#: Acts kept; somebody who presses once a second all day stays below it.
MOST_ACTS = 50_000
NEVER = math.inf


class Live:
    """See the module."""

    def __init__(self, script: Script, tables: Tables | None = None) -> None:
        self.script = script
        line, netlist, plant = script.line, script.netlist, script.plant
        self.tables = tables or tables_of(script)
        self.names = self.tables.names
        self.setting = script.setting
        self._model = self.tables.models[self.setting].copy()
        self._world = np.zeros(1, t.WORLD)
        self._herd = np.zeros(line.mob.head, t.ANIMAL)
        self._times = np.full((line.mob.head, len(line.zones), t.COLUMNS), np.nan)
        self._log = np.zeros((LOG_ROWS, 4))
        self._program = self.tables.program.copy()
        self._oil = np.zeros(3)
        self._troubles = Troubles(netlist, plant, self.names, self._program[0])
        self._known = self.tables.troubles
        self._sensors = [(i.name, i.node) for i in netlist.inputs if i.kind == InputKind.SENSOR]
        self._words = list(words_of_acts(self.tables.line, self._model[0]))
        homes = [int(home) for home in self._model[0]["home"][: len(line.crew)]]
        self._walks = [Walk(home, home, 0.0) for home in homes]
        self.teller = Teller(self.names, netlist, plant)
        self._hands: dict[str, int] = {}
        self.acts: list[Act] = []
        self.crew_works = True
        self._clearing = False
        self.events: deque[Event] = deque(maxlen=LAST_EVENTS)
        self.told = 0
        self._point()
        self._step(0)
        self._drain()

    @classmethod
    def replayed(cls, script: Script, acts: Iterable[Act], until_s: float, tables: Tables | None = None) -> Live:
        """Give the rehearsal as it was at a time, by doing the same acts again."""
        live = cls(script, tables)
        for act in acts:
            if act.time_s > until_s:
                break
            live.advance(act.time_s)
            live.act(act.verb, act.name, act.on)
        live.advance(until_s)
        return live

    @property
    def now_s(self) -> float:
        return float(self._world[0]["now"])

    @property
    def next_s(self) -> float:
        """When the next thing is due; infinite where nothing is."""
        return float(self._world[0]["leaf_s"].min(initial=NEVER, where=self._leaves()))

    @property
    def troubles(self) -> tuple[Trouble, ...]:
        """The faults there are now."""
        return self._troubles.struck

    @property
    def hands(self) -> tuple[str, ...]:
        """The buttons that are pressed by acts of the rehearsal."""
        return tuple(name for name, held in self._hands.items() if held > 0)

    @property
    def pressed(self) -> tuple[str, ...]:
        """The controls whose contact is closed, by whosever hand."""
        return tuple(name for k, name in enumerate(self.names.controls) if self._world[0]["pressed"][k] > 0)

    def advance(self, until_s: float) -> None:
        """Let everything happen that is due until a time.

        Raises
        ------
        InternalError
            The logic did not settle, or the kernel's tables ran out.
        """
        done = most = 1
        while done == most:
            # while the crush is being cleared, that is looked at after each event: no way of stepping changes when
            most = 1 if self._clearing else STRETCH
            done = self._step(1, until_s, most)
            self._drain()

    def to_next(self) -> float:
        """Let the next thing happen and give its time; nothing happens where nothing is due."""
        next_s = self.next_s
        if math.isfinite(next_s):
            self.advance(next_s)
        return self.now_s

    def press(self, control: str) -> None:
        """Close the contact of a button, until it is let go."""
        self.act("press", control, True)

    def release(self, control: str) -> None:
        """Let a button go."""
        self.act("press", control, False)

    def turn(self, switch: str, on: bool) -> None:
        """Put a maintained switch on or off."""
        self.act("turn", switch, on)

    def strike(self, trouble: Trouble) -> None:
        """Let a fault strike."""
        self.act("trouble", f"{trouble.kind.name}:{trouble.target}", True)

    def mend(self, trouble: Trouble) -> None:
        """Mend a fault."""
        self.act("trouble", f"{trouble.kind.name}:{trouble.target}", False)

    def act(self, verb: Verb, name: str, on: bool) -> None:
        """Do one act now, and let what follows from it happen.

        Raises
        ------
        InputError
            There is nothing of that name to act on, or too much was done already.
        """
        doing = {
            "press": self._press,
            "turn": self._turn,
            "gate": self._gate,
            "crew": self._crew,
            "trouble": self._trouble,
        }
        if verb not in doing:
            raise InputError(Fault(f"{verb!r} is nothing that can be done", allowed=", ".join(VERBS)))
        if len(self.acts) >= MOST_ACTS:
            raise InputError(Fault(f"{MOST_ACTS} acts are the most one rehearsal takes", mend="begin a new one"))
        doing[verb](name, on)
        self.acts.append(Act(self.now_s, verb, name, on))
        self._touch()

    def snapshot(self) -> Snapshot:
        """Give what is seen now; looking changes nothing."""
        self._step(2)
        m, w, p = self._model[0], self._world[0], self._program[0]
        powered = not self._troubles.has(TroubleKind.POWER_OFF)
        motions = range(len(self.names.motions))
        counts = tuple(int(w["zone"][z]["count"]) for z in range(len(self.names.zones)))
        return Snapshot(
            time_s=self.now_s,
            animals=tuple(animals_in(m, w, self._herd)),
            people=tuple(people_in(m, w, self._walks, self._words)),
            parts=tuple(parts_in(w, len(self.names.parts))),
            bringing=bringing_in(m, w, len(self.names.people)),
            waiting=counts[0],
            counts=counts,
            head=int(m["head"]),
            through=int(w["finished"]),
            missed=int(w["missed"]),
            early=int(w["early"]),
            touches=int(w["touches"]),
            driven=tuple(bool(w["commanded"][k]) for k in motions),
            refused=tuple(bool(w["refused"][k]) for k in motions),
            pressed=tuple(bool(w["pressed"][k] > 0) for k in range(len(self.names.controls))),
            sensors=tuple(bool(p["values"][node]) for _, node in self._sensors),
            lamps=tuple(powered and bool(p["values"][lamp.node]) for lamp in self.script.netlist.lamps),
            pressure_pa=float(self._oil[0]),
            stored_m3=float(self._oil[1]),
            pumping=bool(self._oil[2]),
            powered=powered,
            next_s=self.next_s,
            crew_works=self.crew_works,
            catches=self._catches(),
        )

    def values(self) -> tuple[bool, ...]:
        """Give the value of every node of the control program as last scanned."""
        return tuple(bool(value) for value in self._program[0]["values"][: len(self.script.netlist)])

    def fingerprint(self) -> bytes:
        """Give everything that the rest of the rehearsal depends on, as bytes: equal where two are the same."""
        world = self._world.copy()
        for column in ("herd_at", "times_at", "log_at", "logged", "moves_at"):
            world[column] = 0
        values = self._program[0]["values"]
        tables = [world, self._herd, self._times, values, self._model["unmet"]]
        tables += [self._model["zone"][column] for column in CATCH]
        return b"".join(array.tobytes() for array in tables)

    # What an act does

    def _press(self, name: str, on: bool) -> None:
        k = self._control(name)
        held = self._hands.get(name, 0)
        if on:
            self._hands[name] = held + 1
        elif held == 0:
            return
        else:
            self._hands[name] = held - 1
        self._world[0]["pressed"][k] += 1 if on else -1

    def _turn(self, name: str, on: bool) -> None:
        self._world[0]["pressed"][self._control(name)] = int(on)
        pressed = self.pressed
        wanted = setting_of({name: name in pressed for name in self.names.controls}, self.setting)
        if wanted != self.setting and wanted in self.tables.models:
            self._go_over(wanted)

    def _go_over(self, setting: Setting) -> None:
        """People go on by the habits of another setting; one that is in the crush is first let through by hand.

        It is let through as it was begun. Of the animals behind it the new setting asks its own at once.
        """
        was, self.setting = self.setting, setting
        if not self._clearing:
            self._clearing = True
            by_hand = replace(was, by_hand=True)
            if by_hand in self.tables.models:
                catch = {column: self._model["zone"][column].copy() for column in CATCH}
                self._take(by_hand)
                for column, value in catch.items():
                    self._model["zone"][column] = value
        models = self.tables.models
        ask_anew(self._herd, self._begun(setting), (models[was], models[setting]), self._crush)
        self._once_clear()

    def _once_clear(self) -> None:
        """Go over to the setting that is wanted once nothing is in the crush or on its way into it."""
        if self._crush["count"] == 0 and self._crush["coming"] < 0:
            self._clearing = False
            self._take(self.setting)

    @property
    def _crush(self) -> Any:
        return self._world[0]["zone"][int(self._model[0]["main_zone"])]

    def _take(self, setting: Setting) -> None:
        """Read everything anew from the table of a setting."""
        world = self._world[0]
        self._model[:] = self.tables.models[setting]
        world["unmet"], world["fact"], world["dirty"] = self._model[0]["unmet"], 0, 1
        if not self.crew_works:
            bar(BARRED, self.tables.line, self._model[0], world)

    def _begun(self, setting: Setting) -> t.Records:
        """The herd as it begins in a setting."""
        herds = self.tables.herds
        if setting not in herds:
            herds[setting] = Live(replace(self.script, setting=setting), self.tables)._herd
        return herds[setting]

    def _gate(self, name: str, on: bool) -> None:
        plant = self.script.plant
        part = plant.part_at(name)
        if part < 0 or plant.parts[part].kind != PartKind.ACCESS:
            raise InputError(Fault(f"{name!r} is no gate that is opened by hand"))
        lock = plant.part_at(f"{name}_lock")
        if on and lock >= 0 and self._world[0]["part"][lock]["at"] != 1.0:
            return  # it is locked: pulling at it does nothing
        self._world[0]["part"][part]["at"] = 1.0 if on else 0.0

    def _crew(self, _: str, on: bool) -> None:
        if on != self.crew_works:
            bar(-BARRED if on else BARRED, self.tables.line, self._model[0], self._world[0])
        self.crew_works = on

    def _trouble(self, name: str, on: bool) -> None:
        if name not in self._known:
            raise InputError(Fault(f"no such fault can strike here: {name!r}"))
        trouble = self._known[name]
        before = self._power()
        others = tuple(each for each in self._troubles.struck if each != trouble)
        self._troubles.put((*others, trouble) if on else others)
        after = self._power()
        if before[0] and not after[0]:
            self._step(3)
        elif after[0] and not before[0]:
            self._step(4)
        if after[1] and not before[1]:
            self._step(5)
            self._troubles.put(self._troubles.struck)

    def _power(self) -> tuple[bool, bool]:
        """Whether the pump and the control have power."""
        control = not self._troubles.has(TroubleKind.POWER_OFF)
        return control and not self._troubles.has(TroubleKind.PUMP_OFF), control

    def _control(self, name: str) -> int:
        if name not in self.names.controls:
            raise InputError(Fault(f"there is no control {name!r}", allowed=", ".join(self.names.controls)))
        return self.names.controls.index(name)

    # The kernel

    def _point(self) -> None:
        w = self._world[0]
        w["seed"], w["replication"] = self.script.seed, self.script.replication
        w["animal_bytes"] = self._herd.itemsize
        w["herd_at"], w["times_at"] = self._herd.ctypes.data, self._times.ctypes.data
        w["logging"], w["log_at"], w["log_rows"] = 1, self._log.ctypes.data, LOG_ROWS

    def _leaves(self) -> Any:
        return np.arange(t.SLOTS) < int(self._model[0]["leaves"])

    def _catches(self) -> bool:
        return bool((self._model[0]["zone"]["bail"][: len(self.names.zones)] >= 0).any())

    def _touch(self) -> None:
        """Let follow what follows from an act, at once; the tables were changed from outside, so all is read anew."""
        self._world[0]["dirty"] = 1
        self._step(1, self.now_s)
        self._drain()

    def _step(self, what: int, until_s: float = 0.0, most: int = 0) -> int:
        from stockproof.flow.live_kernel import step

        tables = self._model, self._world, self._program, self._troubles.creep_s, self._oil
        done, _ = step(what, *tables, float(until_s), most)
        status = int(self._world[0]["status"])
        if status not in (t.RUNNING_ON, t.ALL_THROUGH):
            raise InternalError(f"the rehearsal {ENDINGS[status]} at {self.now_s:.3f} s")
        return int(done)

    def _drain(self) -> None:
        """Take what was noted, tell it in words, and leave the log empty."""
        w = self._world[0]
        for row in self._log[: min(int(w["logged"]), LOG_ROWS)]:
            kind, first, second = int(row[1]), int(row[2]), int(row[3])
            if kind == notes.PERSON_GOES:
                walk = self._walks[first]
                self._walks[first] = Walk(walk.end, second, float(row[0]))
            told = self.teller.tell(kind, first, second)
            if told is not None:
                self.events.append(Event(float(row[0]), *told))
                self.told += 1
        w["logged"] = 0
        if self._clearing:
            self._once_clear()
