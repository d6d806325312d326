"""Joins the fragments of all devices into one body of rules, and refuses what contradicts itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from stockproof.errors import Fault, InputError, Place, nearest
from stockproof.logic import rules
from stockproof.logic.devices import Device, DeviceMotion, DeviceSignal
from stockproof.logic.library import ALWAYS, library
from stockproof.logic.rules import Fragment, Rule, RuleKind, Step, renamed
from stockproof.netlist.expression import TRUE, evaluate, names
from stockproof.netlist.model import InputKind

__all__ = ["RELIEVING", "Assembly", "Motion", "assemble"]

#: Directions that relieve an animal: asked for together with the opposite direction, they win.
RELIEVING = ("out", "lower")
#: Rules that give a name one meaning, and rules of which a name may have many.
ONE = (RuleKind.DEFINE, RuleKind.LATCH, RuleKind.RISING, RuleKind.FALLING, RuleKind.CHANGED, RuleKind.ON_DELAY)
MANY = (RuleKind.ALL_OF, RuleKind.ANY_OF)
#: Kinds of item whose controls are named `point.word`.
POINTS = ("control_point", "controller")


@dataclass(frozen=True, slots=True)
class Motion:
    """A motion with everything that asks for it and everything it needs.

    `against` are the motions of the same part that, being requested too, keep this one from being driven.
    """

    motion: DeviceMotion
    requests: tuple[Rule, ...]
    permits: tuple[Rule, ...]
    against: tuple[str, ...]

    @property
    def name(self) -> str:
        return self.motion.name


@dataclass(frozen=True, slots=True)
class Assembly:
    """All rules of one installation, ready to be lowered.

    Parameters
    ----------
    inputs : tuple of DeviceSignal
        Sensors and controls that the control reads.
    named : dict of str to tuple of Rule
        What each name means: one rule, or the contributions of an `all_of` or `any_of`.
    groups : dict of str to tuple of str
        Members of `any.word` and `all.word`, and of `any.command`.
    spare : tuple of DeviceSignal
        Controls for motions this installation does not have.
    absent_sequences : tuple of str
        Sequences this installation has no use for.
    """

    devices: tuple[Device, ...]
    inputs: tuple[DeviceSignal, ...]
    motions: tuple[Motion, ...]
    lamps: tuple[tuple[Rule, DeviceSignal | None], ...]
    named: dict[str, tuple[Rule, ...]]
    sequences: tuple[rules.Sequence, ...]
    groups: dict[str, tuple[str, ...]]
    spare: tuple[DeviceSignal, ...]
    absent_sequences: tuple[str, ...]


def assemble(devices: Sequence[Device]) -> Assembly:
    """Join what the devices bring along.

    Raises
    ------
    InputError
        Two devices own a motion or signal, a motion has nobody who requests it or no permit, a rule is about
        something that is not there, a name has two meanings; every fault is reported.
    """
    faults = list(_doubles(devices))
    motions = [motion for device in devices for motion in device.motions]
    signals = [signal for device in devices for signal in device.signals]
    spare = tuple(_spare(devices, {motion.name for motion in motions}))
    inputs = tuple(signal for signal in signals if signal.kind is not None and signal not in spare)
    groups = _groups(devices, inputs, {motion.name for motion in motions})
    has = _presence(devices, inputs, motions, groups)
    found = [*_fragments(devices, faults)]
    absent = tuple(s.name for f in found if not evaluate(f.present, has) for s in f.sequences)
    found = [fragment for fragment in found if evaluate(fragment.present, has)]
    rules_here = [rule for fragment in found for rule in fragment.rules if evaluate(rule.present, has)]
    rules_here += [rule for device in devices for rule in device.rules if evaluate(rule.present, has)]
    rules_here = [rule for rule in rules_here if not _speaks_of(rule, absent)]
    named = _named(rules_here, faults)
    joined = tuple(_motion(motion, motions, rules_here, faults) for motion in motions)
    faults += _about_nothing(rules_here, {motion.name for motion in motions})
    lamps = tuple(_lamps(rules_here, signals))
    sequences = tuple(_pruned(s, has) for fragment in found for s in fragment.sequences)
    if faults:
        raise InputError(faults)
    return Assembly(tuple(devices), inputs, joined, lamps, named, sequences, groups, spare, absent)


def _doubles(devices: Sequence[Device]) -> Iterator[Fault]:
    owners: dict[str, Device] = {}
    for device in devices:
        things: list[tuple[str, str, Place]] = [("device", device.name, device.place)]
        things += [("motion", motion.name, motion.place) for motion in device.motions]
        things += [("signal", signal.name, signal.place) for signal in device.signals]
        for what, name, place in things:
            key = f"{what} {name}"
            if key in owners:
                yield Fault(
                    f"{what} {name!r} has two owners: {owners[key].label} and {device.label}",
                    place,
                    mend="take one of them out of the build, or give it another name",
                )
            owners.setdefault(key, device)


def _spare(devices: Sequence[Device], motions: set[str]) -> Iterator[DeviceSignal]:
    """Buttons for a motion the installation does not have."""
    for device in devices:
        for signal in device.signals if device.kind in POINTS else ():
            word = signal.name.partition(".")[2]
            if signal.kind == InputKind.MOMENTARY and "." in word and word not in motions:
                yield signal


def _groups(devices: Sequence[Device], inputs: Iterable[DeviceSignal], motions: set[str]) -> dict[str, tuple[str, ...]]:
    """Controls of one meaning at several points; a button for a motion may also belong to the part itself."""
    at_points = {signal.name for device in devices if device.kind in POINTS for signal in device.signals}
    members: dict[str, list[str]] = {"command": []}
    for signal in inputs:
        word = signal.name.partition(".")[2]
        if signal.kind in (InputKind.MOMENTARY, InputKind.MAINTAINED) and (signal.name in at_points or word in motions):
            members.setdefault(word, []).append(signal.name)
            if signal.kind == InputKind.MOMENTARY and (word in motions or word == "enable"):
                members["command"].append(signal.name)
    return {word: tuple(found) for word, found in members.items()}


def _presence(
    devices: Sequence[Device],
    inputs: Iterable[DeviceSignal],
    motions: Iterable[DeviceMotion],
    groups: dict[str, tuple[str, ...]],
) -> Callable[[str], bool]:
    known = {device.name for device in devices} | {device.kind for device in devices}
    known |= {signal.name for signal in inputs} | {motion.name for motion in motions}
    known |= {f"any.{word}" for word, members in groups.items() if members}
    return known.__contains__


def _fragments(devices: Sequence[Device], faults: list[Fault]) -> Iterator[Fragment]:
    shelf = library()
    for name in ALWAYS:
        yield shelf[name]
    done: set[str] = set()
    for device in devices:
        if not device.fragment:
            continue
        if device.fragment not in shelf:
            mend = nearest(device.fragment, list(shelf)) or f"known: {', '.join(shelf)}"
            faults.append(Fault(f"{device.fragment!r} is no fragment of control logic", device.place, mend=mend))
            continue
        fragment = renamed(shelf[device.fragment], device.name)
        # a fragment that never says `self` speaks of fixed names: two devices that bring it bring it once
        key = device.fragment if fragment == shelf[device.fragment] else f"{device.fragment} {device.name}"
        if key not in done:
            done.add(key)
            yield fragment


def _speaks_of(rule: Rule, sequences: tuple[str, ...]) -> bool:
    words = (*names(rule.when), *names(rule.reset or TRUE))
    return any(word.split(".")[0] in sequences for word in words)


def _named(found: Iterable[Rule], faults: list[Fault]) -> dict[str, tuple[Rule, ...]]:
    named: dict[str, tuple[Rule, ...]] = {}
    for rule in found:
        if rule.kind not in ONE + MANY:
            continue
        before = named.get(rule.target, ())
        if before and (rule.kind in ONE or before[0].kind != rule.kind):
            faults.append(
                Fault(f"{rule.target!r} has two meanings", rule.place, mend=f"the first is at {before[0].place}")
            )
        named[rule.target] = (*before, rule)
    return named


def _motion(
    motion: DeviceMotion, motions: Iterable[DeviceMotion], found: Iterable[Rule], faults: list[Fault]
) -> Motion:
    mine = [rule for rule in found if rule.target == motion.name]
    requests = tuple(rule for rule in mine if rule.kind == RuleKind.REQUEST)
    permits = tuple(rule for rule in mine if rule.kind == RuleKind.PERMIT)
    if not requests:
        faults.append(
            Fault(f"nobody requests the motion {motion.name!r}", motion.place, mend="add a control or a step that does")
        )
    if not permits:
        faults.append(Fault(f"the motion {motion.name!r} has no permit", motion.place, mend="state when it may move"))
    part, _, direction = motion.name.rpartition(".")
    against = (
        ()
        if direction in RELIEVING
        else tuple(
            other.name for other in motions if other.name != motion.name and other.name.rpartition(".")[0] == part
        )
    )
    return Motion(motion, requests, permits, against)


def _about_nothing(found: Iterable[Rule], motions: set[str]) -> Iterator[Fault]:
    for rule in found:
        if rule.kind in (RuleKind.PERMIT, RuleKind.REQUEST) and rule.target not in motions:
            mend = nearest(rule.target, sorted(motions)) or "name a motion of the build"
            yield Fault(f"a {rule.kind.value} is about {rule.target!r}, which does not move", rule.place, mend=mend)


def _lamps(found: Iterable[Rule], signals: Sequence[DeviceSignal]) -> Iterator[tuple[Rule, DeviceSignal | None]]:
    """Each lamp rule lights every wired lamp of its name, or stands alone where none is wired."""
    for rule in found:
        if rule.kind == RuleKind.LAMP:
            wired = [s for s in signals if s.kind is None and f".{s.name}".endswith(f".{rule.target}")]
            yield from ((rule, signal) for signal in wired) if wired else [(rule, None)]


def _pruned(sequence: rules.Sequence, has: Callable[[str], bool]) -> rules.Sequence:
    """Drop the transitions that are not there, and every step they no longer lead to."""
    goes = tuple(go for go in sequence.goes if evaluate(go.present, has))
    reached = {sequence.steps[0].name}
    while True:
        more = {go.target for go in goes if go.source in reached} - reached
        if not more:
            break
        reached |= more
    steps: tuple[Step, ...] = tuple(step for step in sequence.steps if step.name in reached)
    goes = tuple(go for go in goes if go.source in reached)
    return rules.Sequence(sequence.name, sequence.label, sequence.enabled, steps, goes, sequence.place)
