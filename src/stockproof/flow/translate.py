"""Turns a `Line`, with the plant and netlist it belongs to, into the one `MODEL` record the kernel reads.

Every word is looked up here, once; a word that names nothing, or a line larger than the kernel's tables, is refused
with what was meant, before anything runs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from stockproof.errors import Fault, InputError, InternalError, nearest
from stockproof.flow import draws
from stockproof.flow import tables as t
from stockproof.flow.ground import TRUTHS, Ground
from stockproof.flow.model import Job, Law, Line, Passage, Press, Seen, Task, Zone
from stockproof.flow.names import Names, names_of
from stockproof.flow.program import program_of
from stockproof.flow.watch import Watch, truths_shown
from stockproof.netlist.model import Netlist
from stockproof.plant.model import Plant, TruthKind

__all__ = ["Names", "law_record", "names_of", "program_of", "translate"]

#: Those of them that people may name as a plant truth rather than by the line's own words.
NAMED = (TruthKind.NECK, TruthKind.DOWN, TruthKind.AT_CLOSED, TruthKind.AT_MID, TruthKind.AT_OPEN, TruthKind.PERSON)
#: Where the conditions of each kind of act stand.
LIST_OF_ACT = {t.ACT_TASK: t.OF_TASKS, t.ACT_PRESS: t.OF_PRESSES, t.ACT_JOB: t.OF_JOBS}


def translate(line: Line, netlist: Netlist | None, plant: Plant | None, latest_s: float) -> t.Records:
    """Give the `MODEL` of a line.

    Raises
    ------
    InputError
        A word of the line names nothing, or the line is larger than the tables; all faults are reported.
    """
    return _Translation(line, netlist, plant).model(latest_s)


def law_record(law: Law, purpose: str, factors: Sequence[str], pool: list[float]) -> tuple[Any, ...]:
    """A law as its record; the values of an empirical law are added to the pool."""
    first = len(pool)
    pool.extend(law.values)
    return (law.kind, law.a, law.b, first, law.count, factors.index(law.factor), draws.purpose_number(purpose))


class _Translation:
    """One line being translated: names, faults and values met on the way."""

    def __init__(self, line: Line, netlist: Netlist | None, plant: Plant | None) -> None:
        self.line, self.netlist, self.plant = line, netlist, plant
        self.names = names_of(line, netlist, plant)
        self.faults: list[Fault] = []
        self.pool: list[float] = []
        self.nodes = dict(netlist.names) if netlist else {}
        if netlist:
            self.nodes |= {lamp.name: lamp.node for lamp in netlist.lamps}
            self.nodes |= {motion.name: motion.node for motion in netlist.motions}
        self.truths = {truth.name: truth for truth in plant.truths} if plant else {}
        self.ground = Ground(line, plant) if plant else None
        shown = truths_shown(netlist, plant) if netlist and plant else []
        self.watch = Watch([self.ground.shown(plant.truths[k]) for k in shown] if plant and self.ground else [])

    def model(self, latest_s: float) -> t.Records:
        self._check_sizes()
        if self.faults:
            raise InputError(self.faults)
        model = np.zeros(1, t.MODEL)
        m = model[0]
        self._counts(m)
        for z, zone in enumerate(self.line.zones):
            self._zone(m, z, zone)
        for p, passage in enumerate(self.line.passages):
            self._passage(m, p, passage)
        for k, task in enumerate(self.line.tasks):
            self._task(m, k, task)
        for q, press in enumerate(self.line.presses):
            self._press(m, q, press)
        for j, job in enumerate(self.line.jobs):
            self._job(m, j, job)
        self._people(m)
        self._acts(m)
        self._mob(m)
        self._ground(m)
        self.faults += self.watch.faults()
        if not self.faults:
            self.watch.put(m, len(self.netlist.memories) if self.netlist else 0)
        m["latest_s"] = latest_s
        m["pool"][: len(self.pool)] = self.pool[: t.POOL]
        if len(self.pool) > t.POOL:
            self.faults.append(Fault(f"the measured laws hold {len(self.pool)} values", allowed=f"at most {t.POOL}"))
        if self.faults:
            raise InputError(self.faults)
        return model

    def _check_sizes(self) -> None:
        line, names = self.line, self.names
        sizes = {
            "zones": len(line.zones),
            "passages": len(line.passages),
            "tasks": len(line.tasks),
            "people": len(line.crew),
            "presses": len(line.presses),
            "jobs": len(line.jobs),
            "places": len(line.places),
            "uncertain factors": len(line.uncertain),
            "breaks": len(line.breaks),
            "draft ways": len(line.mob.ways),
            "parts": len(names.parts),
            "motions": len(names.motions),
            "timers": len(names.timers),
            "spaces": len(names.spaces),
            "controls": len(names.controls),
        }
        for kind, size in sizes.items():
            if size > t.LIMITS[kind]:
                self.faults.append(Fault(f"the line has {size} {kind}", allowed=f"at most {t.LIMITS[kind]}"))

    def _at(self, kind: str, table: Sequence[str], word: str, of: str, none: int | None = None) -> int:
        """The position of a word; `none` is what an empty word gives."""
        if not word and none is not None:
            return none
        if word in table:
            return list(table).index(word)
        mend = nearest(word, list(table)) or f"known: {', '.join(table) or 'none'}"
        self.faults.append(Fault(f"{of} names the {kind} {word!r}, which is not in the line", mend=mend))
        return 0

    def _law(self, law: Law, purpose: str) -> tuple[Any, ...]:
        self._at("uncertain factor", self.names.factors, law.factor, purpose)
        factor = law.factor if law.factor in self.names.factors else ""
        return law_record(law, purpose, [*self.names.factors, factor], self.pool)

    def _needs(self, conditions_of: int, conditions: Iterable[Seen], of: str) -> None:
        for condition in conditions:
            self.watch.need(conditions_of, self._fact(condition, of), condition.so)

    def _fact(self, condition: Seen, of: str) -> tuple[int, int]:
        """A condition's kind and number, from the line's own words, the plant's truths, or the netlist's names."""
        what, whom = condition.what, condition.of
        if what == "signal":
            return t.SIGNAL, self._at("signal", list(self.nodes), whom, of) if whom not in self.nodes else self.nodes[
                whom
            ]
        if what == "wanted":
            return t.WANTED, self._at("task", self.names.tasks, whom, of)
        if what == "way":
            return t.WAY, int(whom)
        if what == "break due":
            return t.BREAK_DUE, 0
        if what == "person":
            return t.PERSON, self._at("space", self.names.spaces, whom, of)
        if what in t.ZONE_FACTS and whom in self.names.zones:
            return t.ZONE_FACTS[what], self.names.zones.index(whom)
        if what in t.PART_FACTS and whom in self.names.parts:
            return t.PART_FACTS[what], self.names.parts.index(whom)
        truth = self.truths.get(f"{whom}.{what}")
        if truth is not None and truth.kind in NAMED and self.ground:
            in_zone = truth.kind == TruthKind.NECK
            return TRUTHS[truth.kind], self.ground.zone_of_plant(truth.of) if in_zone else truth.of
        known = [*self.names.zones, *self.names.parts]
        mend = nearest(whom, known) or f"say it of one of {', '.join(known)}"
        self.faults.append(Fault(f"{of} looks for '{what}' of {whom!r}, which cannot be seen in this line", mend=mend))
        return 0, 0

    def _counts(self, m: Any) -> None:
        line, names = self.line, self.names
        m["zones"], m["passages"], m["tasks"] = len(line.zones), len(line.passages), len(line.tasks)
        m["people"], m["presses"], m["jobs"] = len(line.crew), len(line.presses), len(line.jobs)
        m["parts"], m["motions"], m["timers"] = len(names.parts), len(names.motions), len(names.timers)
        m["controls"], m["factors"], m["breaks"] = len(names.controls), len(names.factors), len(line.breaks)
        m["spaces"], m["powered"] = len(names.spaces), int(self.netlist is not None)
        m["running"] = self._running_at_once()
        m["first_running_slot"] = 3 * len(line.zones)
        m["first_person_slot"] = m["first_running_slot"] + m["running"]
        m["first_part_slot"] = m["first_person_slot"] + len(line.crew)
        m["first_timer_slot"] = m["first_part_slot"] + len(names.parts)
        m["arrival_slot"] = m["first_timer_slot"] + len(names.timers)
        m["break_slot"] = m["arrival_slot"] + 1
        m["leaves"] = 1 << max(1, math.ceil(math.log2(int(m["break_slot"]) + 1)))
        if m["leaves"] > t.SLOTS:
            raise InternalError(f"a calendar of {m['leaves']} leaves is larger than {t.SLOTS}")

    def _running_at_once(self) -> int:
        """Tasks that can run at the same time: one a person, and each unmanned one on every place of its zone."""
        places = {zone.name: zone.places for zone in self.line.zones}
        unmanned = sum(min(places.get(task.zone, 1), t.RUNNING) for task in self.line.tasks if not task.skill)
        return min(t.RUNNING, max(1, len(self.line.crew) + unmanned))

    def _zone(self, m: Any, z: int, zone: Zone) -> None:
        row, line = m["zone"][z], self.line
        out = [passage for passage in line.passages if passage.out_of == zone.name]
        row["places"], row["single_file"] = zone.places, zone.single_file
        row["waits_for_work"], row["work_zone"] = zone.waits_for_work, zone.work_zone
        row["tasks"] = self._bits(task for task in line.tasks if task.zone == zone.name)
        row["hold_tasks"] = self._bits(task for task in line.tasks if task.zone == zone.name and task.held)
        row["nominal"], row["crowding"] = zone.nominal, zone.crowding
        row["stragglers"], row["straggling"] = zone.stragglers, zone.straggling
        fetched = any(job.kind == "bring" and job.source == zone.name for job in line.jobs)
        row["is_end"] = not out and not fetched
        row["main"] = zone.work_zone and self._main_zone() == z
        for way in range(t.WAYS + 1):
            taken = [line.passages.index(p) for p in out if p.way in (0, way)]
            row["out"][way] = taken[0] if taken else -1
        row["transit"] = self._law(zone.transit, f"transit: {zone.name}")
        row["headway"] = self._law(zone.headway, f"headway: {zone.name}")
        row["squeeze"] = self._at("part", self.names.parts, zone.squeeze, f"zone {zone.name}", -1)
        row["bail"] = self._at("part", self.names.parts, zone.catch.part if zone.catch else "", f"zone {zone.name}", -1)
        if zone.catch:
            for column in ("length_m", "sensor_m", "head_m", "neck_m", "body_m", "head_at", "neck_at", "lead_s"):
                row[column] = getattr(zone.catch, column)
        row["weigh_task"] = self._role("weigh", zone.name)
        row["read_task"] = self._role("read", zone.name)

    def _main_zone(self) -> int:
        return next((z for z, zone in enumerate(self.line.zones) if zone.work_zone), -1)

    def _role(self, role: str, zone: str) -> int:
        return next((k for k, task in enumerate(self.line.tasks) if task.role == role and task.zone == zone), -1)

    def _bits(self, tasks: Iterable[Task]) -> int:
        return sum(1 << self.line.tasks.index(task) for task in tasks)

    def _passage(self, m: Any, p: int, passage: Passage) -> None:
        row = m["passage"][p]
        what = f"the passage from {passage.out_of} into {passage.into}"
        row["source"] = self._at("zone", self.names.zones, passage.out_of, what)
        row["target"] = self._at("zone", self.names.zones, passage.into, what)
        row["part"] = -1
        for k, (part, position) in enumerate(self.ground.gates(passage) if self.ground else ()):
            row["part"][k], row["position"][k] = part, position / 2
        self._needs(t.OF_PASSAGES + p, passage.needs, what)
        row["crossing"] = self._law(passage.crossing, f"crossing: {passage.out_of} > {passage.into}")
        row["paced"], row["follow_s"], row["following"] = passage.paced, passage.follow_s, passage.following
        if passage.balk:
            row["balk_share"], row["balk_follow"] = passage.balk.share, passage.balk.follow_share
            row["balk_wait"] = self._law(passage.balk.wait, f"balk: {passage.out_of} > {passage.into}")
            row["refuse_after"] = passage.balk.refuse_after
            row["temper"] = draws.purpose_number(f"balks: {passage.out_of} > {passage.into}")

    def _task(self, m: Any, k: int, task: Task) -> None:
        row, what = m["task"][k], f"task {task.name}"
        row["zone"] = self._at("zone", self.names.zones, task.zone, what)
        row["skill"] = self._at("skill", self.names.skills, task.skill, what, -1)
        row["place"] = self._at("place", self.names.places, task.place, what, -1)
        row["space"] = self._at("space", self.names.spaces, task.space, what, -1)
        self._needs(t.OF_TASKS + k, task.needs, what)
        self.watch.need(t.OF_TASKS + k, (t.WAITING, k), True)
        row["not_with"] = self._bits_of(task.not_with, what)
        row["after"] = self._bits_of(task.after, what)
        row["share"], row["choice"] = task.share, draws.purpose_number(f"needs: {task.name}")
        row["law"] = self._law(task.law, f"task: {task.name}")
        row["gate_s"], row["gate_part"], row["gate_needs"] = task.gate_s, -1, -1
        if self.ground and row["space"] >= 0:
            gate = self.ground.plant.spaces[int(row["space"])].through
            row["gate_part"], row["gate_needs"] = gate, self.ground.lock_of(gate)
        row["reload_every"] = task.reload_every
        row["reload"] = self._law(task.reload, f"reload: {task.name}")

    def _bits_of(self, names: Iterable[str], what: str) -> int:
        bits = 0
        for name in names:
            bits |= 1 << self._at("task", self.names.tasks, name, what)
        return bits

    def _press(self, m: Any, q: int, press: Press) -> None:
        row, what = m["press"][q], f"the habit '{press.name}'"
        row["control"] = self._at("control", self.names.controls, press.control, what, -1)
        row["hand_part"] = self._at("part", self.names.parts, press.part, what, -1)
        row["hand_to"] = press.to
        self._needs(t.OF_PRESSES + q, press.when, what)
        self._needs(t.OF_RELEASES + q, press.until, what)
        row["held"] = bool(press.until)
        row["skill"] = self._at("skill", self.names.skills, press.skill, what)
        row["place"] = self._at("place", self.names.places, press.place, what, -1)
        row["reaction"] = self._law(press.reaction, f"press: {press.name}")
        row["press_s"], row["again_s"], row["longest_s"] = press.press_s, press.again_s, press.longest_s

    def _job(self, m: Any, j: int, job: Job) -> None:
        row, what = m["job"][j], f"the job '{job.name}'"
        row["kind"] = t.JOB_KINDS[job.kind]
        row["zone"] = self._at("zone", self.names.zones, job.zone, what)
        row["source"] = self._at("zone", self.names.zones, job.source, what, -1)
        row["skill"] = self._at("skill", self.names.skills, job.skill, what)
        row["start_place"] = self._at("place", self.names.places, job.start_place, what, -1)
        row["end_place"] = self._at("place", self.names.places, job.end_place, what, -1)
        self._needs(t.OF_JOBS + j, job.when, what)
        self.watch.need(t.OF_JOBS + j, (t.JOB_WANTED, j), True)
        row["at_most"], row["per_head_s"] = job.at_most, job.per_head_s
        row["law"] = self._law(job.law, f"job: {job.name}")
        row["batch"] = self._law(job.batch, f"batch: {job.name}")

    def _people(self, m: Any) -> None:
        line = self.line
        for p, person in enumerate(line.crew):
            m["skills"][p] = sum(1 << self.names.skills.index(skill) for skill in person.skills)
            m["home"][p] = self._at("place", self.names.places, person.home, f"person {person.name}", 0)
            stands = person.stands or self.names.places
            m["stands"][p] = sum(
                1 << self._at("place", self.names.places, place, f"person {person.name}") for place in stands
            )
        count = len(line.places)
        for row, distances in enumerate(line.distances_m):
            m["distance_m"][row, : len(distances)] = distances
        if len(line.distances_m) != count or any(len(row) != count for row in line.distances_m):
            self.faults.append(
                Fault(f"the distances do not fit the {count} places", mend="give one row and column a place")
            )
        m["walking_m_per_s"] = line.walking_m_per_s
        for b, pause in enumerate(line.breaks):
            m["break_start_s"][b], m["break_length_s"][b] = pause.start_s, pause.length_s

    def _acts(self, m: Any) -> None:
        """Everything people can turn to, most urgent first; ties in the order they were written."""
        line = self.line
        acts = [(task.priority, t.ACT_TASK, k) for k, task in enumerate(line.tasks) if task.skill]
        acts += [(press.priority, t.ACT_PRESS, q) for q, press in enumerate(line.presses)]
        acts += [(job.priority, t.ACT_JOB, j) for j, job in enumerate(line.jobs)]
        for k, (_, kind, index) in enumerate(sorted(acts)):
            m["act"][k] = (kind, index)
            m["list_of_act"][k] = LIST_OF_ACT[kind] + index
        m["acts"] = len(acts)
        unmanned = [k for k, task in enumerate(line.tasks) if not task.skill]
        m["auto"][: len(unmanned)] = unmanned
        m["autos"] = len(unmanned)

    def _mob(self, m: Any) -> None:
        mob = self.line.mob
        m["head"], m["open_arrivals"] = mob.head, mob.arrivals is not None
        if mob.arrivals is not None:
            m["arrivals"] = self._law(mob.arrivals, "arrivals")
        m["pace"] = self._law(mob.pace, "pace")
        m["balk_persistence"], m["balk_day"], m["balk_animal"] = mob.balk_persistence, mob.balk_day, mob.balk_animal
        m["down_share"], m["down_after"] = mob.down_share, self._law(mob.down_after, "down")
        m["ways"] = len(mob.ways)
        if mob.ways:
            m["way_share"][: len(mob.ways)] = np.cumsum(mob.ways) / math.fsum(mob.ways)
        for k, factor in enumerate(self.line.uncertain):
            m["factor"][k + 1] = self._law(factor.law, f"uncertain: {factor.name}")
        m["end_of_way"] = -1
        for passage in self.line.passages:
            if passage.way > 0 and passage.into in self.names.zones:
                m["end_of_way"][passage.way] = self.names.zones.index(passage.into)

    def _ground(self, m: Any) -> None:
        """How the plant's numbers and the line's go together."""
        m["main_zone"] = self._main_zone()
        for name in self.line.switched_on:
            m["switched_on"][self._at("control", self.names.controls, name, "the line")] = 1
        m["decide_zone"] = self._at("zone", self.names.zones, self.line.decides_in, "the line", -1)
        m["decide_task"] = self._decide_task()
        m["zone_of_part"], m["grip_zone"] = -1, -1
        m["space_zone"], m["space_gate"] = -1, -1
        if self.ground:
            self.ground.put(m)

    def _decide_task(self) -> int:
        line = self.line
        if not line.decides_in:
            return -1
        for role in ("decide", "weigh", "read"):
            found = self._role(role, line.decides_in)
            if found >= 0:
                return found
        self.faults.append(
            Fault(f"nothing decides the way in {line.decides_in!r}", mend="give a task the role `decide`")
        )
        return -1
