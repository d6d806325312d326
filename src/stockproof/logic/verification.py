"""Verifies an installation's control logic: each property, then each under every single fault.

A property holds when the bad state is not reached in a scope where everything outside does anything at any time. A
bad state counts as reached only when it is found in a world in which nothing is taken for granted but what stands
at rest; else, and at the memory cap, the answer is `not shown`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from stockproof.logic.answers import design_answer
from stockproof.logic.explore import DEFAULT_CAP_BYTES, Exploration, Progress, explore
from stockproof.logic.faults import Fault, FaultKind, single_faults
from stockproof.logic.findings import Answer, FaultEffect, FaultFinding, Finding, Verification
from stockproof.logic.properties import Property, properties_of
from stockproof.logic.scope import EVERYTHING, Rest, Scope
from stockproof.logic.story import Story, tell
from stockproof.logic.system import MOST_BITS, System
from stockproof.logic.world import World
from stockproof.logic.world_build import States, build_world
from stockproof.logic.world_buttons import interchangeable
from stockproof.netlist.model import Input, InputKind, Netlist
from stockproof.plant.model import Guard, PartKind, Plant, ZoneKind

__all__ = ["never_driven", "verify"]

#: Memory for one exact search for a story: a first try, and one more where that fails; what is not found is not shown.
STORY_CAPS_BYTES = (10 << 20, 40 << 20)
#: The same for the story of one fault, of which there are a hundred.
STRIKE_CAPS_BYTES = (4 << 20, 40 << 20)
#: The whole is searched for a story only where it is small: beyond this it is not explored within the cap.
WHOLE_BITS = 40
#: Why something is not shown.
UNDECIDED = "no proof in the scope that would be enough, and no story in {states} states"


@dataclass(frozen=True, slots=True)
class _Driven:
    """States as `bad` that a motion is driven: a cover, which must be reached for an answer to mean anything."""

    netlist: Netlist
    reads: tuple[int, ...] = ()
    only: str = ""

    def state(self, world: World) -> None:
        for name, node in world.drive.items():
            if self.only in ("", name):
                world.bad(f"drive {name}", node)


@dataclass(frozen=True, slots=True)
class _Any:
    """States as one bad state that any of several is reached."""

    properties: Sequence[Property]
    reads: tuple[int, ...] = ()

    def state(self, world: World) -> None:
        world.bad("any", world.scan.builder.or_([stated.node(world) for stated in self.properties]))


def verify(
    netlist: Netlist,
    plant: Plant,
    faults: bool = True,
    cap_bytes: int = DEFAULT_CAP_BYTES,
    progress: Progress | None = None,
    codes: Iterable[str] | None = None,
    strike: Callable[[Fault], bool] = lambda fault: True,
    workers: int = 1,
    covers: bool = True,
    stories: bool = True,
) -> Verification:
    """Check every property of an installation, fault-free and then under every single fault.

    Parameters
    ----------
    faults : bool
        Check single faults too.
    cap_bytes : int
        Memory of one exploration; what needs more is not shown.
    codes : iterable of str or None
        Only the properties of these codes.
    strike : callable
        Which single faults to strike, where faults are checked.
    workers : int
        Threads that strike faults; the answer is the same for any number.
    covers : bool
        Look for motions that are never driven.
    stories : bool
        Look for the story of what is not proved; else that is not shown, which is quicker and enough to compare.
    """
    wanted = None if codes is None else set(codes)
    chosen = [p for p in properties_of(netlist, plant) if wanted is None or p.code in wanted]
    bench = _Bench(netlist, plant, cap_bytes, progress, stories)
    groups: dict[Scope, list[Property]] = {}
    for stated in chosen:
        groups.setdefault(stated.scope, []).append(stated)
    found = {f.property.code: f for group in groups.values() for f in bench.check(group)}
    struck = tuple(bench.strikes(strike, workers)) if faults else ()
    never = never_driven(netlist, plant) if covers else ()
    return Verification(tuple(found[p.code] for p in chosen), struck, never)


def never_driven(netlist: Netlist, plant: Plant) -> tuple[str, ...]:
    """Give the motions that nobody can get the control to drive while every other part stands at rest."""
    return tuple(m.name for m in plant.motions if not _drivable(netlist, plant, plant.parts[m.part].name, m.name))


def _drivable(netlist: Netlist, plant: Plant, part: str, motion: str) -> bool:
    nothing: frozenset[str] = frozenset()
    scope = Scope(frozenset({part}), nothing, nothing, neck=False, rest=Rest.FROZEN, watch=False)
    _, system = build_world(netlist, plant, [_Driven(netlist, (), motion)], scope)
    return explore(system, None, STORY_CAPS_BYTES[0], enough=1).first_bad[0] is not None


@dataclass(frozen=True, slots=True)
class _Proved:
    """Properties of one scope that hold, with the exploration that shows it: from its states faults strike."""

    properties: tuple[Property, ...]
    world: World
    found: Exploration


class _Bench:
    """Explores scopes, and keeps what faults strike from."""

    def __init__(
        self, netlist: Netlist, plant: Plant, cap_bytes: int, progress: Progress | None, stories: bool
    ) -> None:
        self.netlist, self.plant, self.stories = netlist, plant, stories
        self.cap_bytes, self.progress = cap_bytes, progress
        self.proved: list[_Proved] = []
        #: properties that fail or are not shown without a fault, with the world they were looked at in
        self.open: list[tuple[Finding, World]] = []

    def check(self, group: Sequence[Property]) -> list[Finding]:
        """Check properties of one scope in one exploration."""
        findings = [Finding(p, Answer.HOLDS, 0, 0.0, None, p.by_design) for p in group if p.by_design]
        group = [p for p in group if not p.by_design]
        if not group:
            return findings
        world, found = self._explore(group, group[0].scope)
        vacuous = self._vacuous(group)
        holding = []
        for stated, at in zip(group, found.first_bad, strict=False):
            if at is not None:
                findings.append(self._confirm(stated, found))
                self.open += [(findings[-1], world)] * (findings[-1].answer != Answer.HOLDS)
                continue
            reason = "" if found.complete else f"{found.states} states explored"
            reason = reason or (
                "the bad state is not reached even where everything is permitted" * vacuous[stated.code]
            )
            answer = Answer.NOT_SHOWN if reason else Answer.HOLDS
            findings.append(Finding(stated, answer, found.states, found.seconds, None, reason))
            self.open += [(findings[-1], world)] if reason else []
            holding += [] if reason else [stated]
        if holding:
            self.proved.append(_Proved(tuple(holding), world, found))
        return findings

    def strikes(self, wanted: Callable[[Fault], bool], workers: int) -> Iterator[FaultFinding]:
        """Let the single faults strike; of buttons that the control cannot tell apart one stands for all."""
        alike = _stand_ins(self.netlist)
        faults = [fault for fault in single_faults(self.netlist, self.plant) if wanted(fault)]
        keys = [(fault.kind, alike.get(fault.target, fault.target)) for fault in faults]
        firsts = dict(reversed(list(zip(keys, faults, strict=True))))
        with ThreadPoolExecutor(workers) as threads:
            done = dict(zip(firsts, threads.map(self.strike, firsts.values()), strict=True))
        for fault, key in zip(faults, keys, strict=True):
            yield replace(done[key], fault=fault)

    def strike(self, fault: Fault) -> FaultFinding:
        """Let one fault strike at every state reachable without it."""
        dangerous: list[tuple[str, Story]] = []
        concerned = [finding for finding, world in self.open if _concerns(fault, world)]
        already = [f.property.code for f in concerned if f.answer == Answer.REACHED]
        not_shown = [f.property.code for f in concerned if f.answer == Answer.NOT_SHOWN]
        lost: set[str] = set()
        states, tried = 0, 0
        for proved in self.proved:
            if not _concerns(fault, proved.world):
                continue
            hurt = self._hurt(proved, fault)
            states += hurt.states
            lost |= _lost(proved.found, hurt)
            reached = dict(zip(hurt.system.bad_names, hurt.first_bad, strict=True))
            broken = [p for p in proved.properties if reached.get(p.code) is not None]
            told, looked_at = self._stories(broken, fault) if broken and self.stories else ({}, 0)
            tried += looked_at
            dangerous += told.items()
            open_ones = broken if hurt.complete or _only_takes_away(fault, self.netlist) else proved.properties
            not_shown += [p.code for p in open_ones if p.code not in told]
        effect = FaultEffect.DETECTED if lost else FaultEffect.TOLERATED
        effect = FaultEffect.ALREADY if already else effect
        effect = FaultEffect.NOT_SHOWN if not_shown else effect
        effect = FaultEffect.DANGEROUS if dangerous else effect
        answer = design_answer(fault, self.netlist) if dangerous else ""
        reason = UNDECIDED.format(states=tried) if not_shown and not dangerous else ""
        lists = (tuple(dangerous), tuple(not_shown), tuple(sorted(lost)))
        return FaultFinding(fault, effect, *lists, states, tuple(already), answer, reason)

    def _hurt(self, proved: _Proved, fault: Fault) -> Exploration:
        """Explore under the fault from the states reachable without it.

        A fault that only takes something away reaches nothing new: of it only is asked what is no longer driven, and
        no further than until everything has been driven that was driven without it.
        """
        scope = proved.properties[0].scope
        if not _only_takes_away(fault, self.netlist):
            return self._explore(proved.properties, scope, fault, proved.found)[1]
        names = zip(proved.found.system.bad_names, proved.found.first_bad, strict=True)
        driven = [name.removeprefix("drive ") for name, at in names if name.startswith("drive ") and at is not None]
        covers = [_Driven(self.netlist, (), only) for only in driven]
        _, system = build_world(self.netlist, self.plant, [*covers, *proved.properties], scope, fault)
        starts = carried_over(proved.found, system)
        return explore(system, starts, self.cap_bytes, self.progress, enough=len(driven))

    def _explore(
        self,
        group: Sequence[Property],
        scope: Scope,
        fault: Fault | None = None,
        start: Exploration | None = None,
    ) -> tuple[World, Exploration]:
        world, system = build_world(self.netlist, self.plant, [*group, _Driven(self.netlist)], scope, fault)
        starts = None if start is None else carried_over(start, system)
        return world, explore(system, starts, self.cap_bytes, self.progress)

    def _vacuous(self, group: Sequence[Property]) -> dict[str, bool]:
        """With a controller that drives anything, the bad state must be reached; else its absence says nothing."""
        _, system = build_world(self.netlist, self.plant, group, group[0].scope, permissive=True)
        found = explore(system, None, self.cap_bytes, self.progress)
        return {p.code: at is None for p, at in zip(group, found.first_bad, strict=True)}

    def _confirm(self, stated: Property, over: Exploration) -> Finding:
        """Look for a story in which nothing is taken for granted."""
        states, seconds = over.states, over.seconds
        scopes = _exact_scopes(stated, self.plant) if self.stories else []
        for cap in STORY_CAPS_BYTES:
            for scope in tuple(scopes):
                world, system = build_world(self.netlist, self.plant, [stated], scope)
                if scope.rest == Rest.NONE and len(system.bits) > WHOLE_BITS:
                    continue
                found = explore(system, None, min(self.cap_bytes, cap), self.progress, enough=1)
                states, seconds = states + found.states, seconds + found.seconds
                if found.first_bad[0] is not None:
                    story = tell(world, found, *found.first_bad[0], stated.title)
                    return Finding(stated, Answer.REACHED, states, seconds, story)
                if found.complete and scope.rest == Rest.NONE:
                    return Finding(stated, Answer.HOLDS, states, seconds)
                if found.complete:
                    scopes.remove(scope)
        return Finding(stated, Answer.NOT_SHOWN, states, seconds, None, UNDECIDED.format(states=states))

    def _stories(self, broken: Sequence[Property], fault: Fault) -> tuple[dict[str, Story], int]:
        """Stories of properties broken under the fault, which strikes somewhere on the way from rest; states explored.

        One story makes the fault dangerous: no scope is looked at after the first in which there is one, and with the
        greater memory nothing is looked for beyond the first.
        """
        states, scopes = 0, _exact_scopes(broken[0], self.plant)[:-1]
        for cap, enough in zip(STRIKE_CAPS_BYTES, (len(broken) + 1, 1), strict=True):
            for scope in tuple(scopes):
                sought: list[States] = [_Any(broken), *broken]
                world, system = build_world(self.netlist, self.plant, sought, scope, fault, strikes=True)
                found = explore(system, None, min(self.cap_bytes, cap), self.progress, enough=enough)
                reached = [(p, at) for p, at in zip(broken, found.first_bad[1:], strict=True) if at is not None]
                states += found.states
                if reached:
                    return {p.code: tell(world, found, *at, p.title) for p, at in reached}, states
                if found.complete:
                    scopes.remove(scope)
        return {}, states


def carried_over(found: Exploration, system: System) -> npt.NDArray[np.uint64]:
    """Give the states found as states of another system: bits of the same name keep their value, others their start."""
    one = np.uint64(1)
    keys = np.full(found.states, np.uint64(1 << MOST_BITS), np.uint64)
    old = {name: k for k, name in enumerate(found.system.bits)}
    for k, name in enumerate(system.bits):
        place = np.uint64(k)
        if name in old:
            keys |= ((found.queue >> np.uint64(old[name])) & one) << place
        elif system.start[0] >> k & 1:
            keys |= one << place
    return np.unique(keys)


def _concerns(fault: Fault, world: World) -> bool:
    motions = {m.name for m in world.motions}
    return not fault.target or fault.target in world.tracked or fault.target in motions


def _only_takes_away(fault: Fault, netlist: Netlist) -> bool:
    """A button whose contact no longer makes: whatever happens then happens without the fault, too, where nobody
    presses it. (Not an emergency stop, whose contact opens when it is pressed, and not a switch.)"""
    kinds = {i.name: i.kind for i in netlist.inputs}
    return fault.kind == FaultKind.STUCK_OFF and kinds.get(fault.target) == InputKind.MOMENTARY


def _stand_ins(netlist: Netlist) -> dict[str, str]:
    """For each control the first one that the control program cannot tell from it."""
    targets = tuple([m.node for m in netlist.motions] + [m.next for m in netlist.memories])
    by_word: dict[str, list[Input]] = {}
    for i in netlist.inputs:
        if i.kind == InputKind.MOMENTARY:
            by_word.setdefault(i.name.partition(".")[2], []).append(i)
    groups = [g for members in by_word.values() for g in interchangeable(netlist, tuple(members), targets)]
    return {i.name: group[0].name for group in groups for i in group}


def _lost(before: Exploration, after: Exploration) -> set[str]:
    """Motions that were driven somewhere without the fault and nowhere with it."""
    names = before.system.bad_names
    now = dict(zip(after.system.bad_names, after.first_bad, strict=True))
    pairs = zip(names, before.first_bad, strict=True)
    return {name.removeprefix("drive ") for name, at in pairs if name.startswith("drive ") and at and not now.get(name)}


def _exact_scopes(stated: Property, plant: Plant) -> list[Scope]:
    """Scopes in which a story is a true story, from small to whole: the other parts stand at rest."""
    scope, nothing = stated.scope, frozenset[str]()
    parts, zones = scope.parts or nothing, scope.zones or nothing
    standing = frozenset(z.name for z in plant.zones if z.kind in (ZoneKind.CRUSH, ZoneKind.DRAFT))
    down, wide = stated.about_down, parts | {"entry", "bail"}
    looked_at = (
        (parts, zones, True),
        (_one_guard(parts, plant) | {"entry"}, zones | {"crush"}, down),
        (parts | {"entry"}, zones | {"crush"}, down),
        (wide, standing, down),
        (wide, standing, True),
    )
    frozen = [
        Scope(some, where, scope.spaces, rest=Rest.FROZEN, falls=falls, watch=scope.watch)
        for some, where, falls in dict.fromkeys(looked_at)
    ]
    return [*frozen, replace(EVERYTHING, watch=scope.watch)]


def _one_guard(parts: frozenset[str], plant: Plant) -> frozenset[str]:
    """Parts with but one of the access gates among them: one that no lock shuts, if there is one."""
    gates = [p for p in plant.parts if p.kind == PartKind.ACCESS and p.name in parts]
    others = {p.name for p in sorted(gates, key=lambda p: p.guard == Guard.LOCKED)[1:]}
    return parts - others - {f"{name}_lock" for name in others}
