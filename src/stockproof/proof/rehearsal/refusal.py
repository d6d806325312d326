"""Why a button did nothing: the permit that refuses, in its author's words, and the signals that say so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from stockproof.flow.live import Live, Trouble, TroubleKind
from stockproof.flow.live_words import DOES, short_name
from stockproof.logic import Assembly
from stockproof.netlist.expression import Expression, names
from stockproof.netlist.model import Input, InputKind, Memory, Netlist
from stockproof.netlist.why import why_not

__all__ = ["Permit", "Refusal", "Shown", "permits_of", "refusals"]

#: Signals shown with one reason.
MOST_SHOWN = 4
DEAD = (TroubleKind.VALVE_DEAD, TroubleKind.POWER_OFF)


@dataclass(frozen=True, slots=True)
class Permit:
    """One condition of a motion: the node that must be true, and what is so where it is not."""

    node: int
    because: str


@dataclass(frozen=True, slots=True)
class Asking:
    """What a motion's button needs to be heard at all: nodes of the first request's conditions, in words."""

    node: int
    words: str


@dataclass(frozen=True, slots=True)
class Conditions:
    """Permits of a motion, what lets its buttons be heard, and the motions against it."""

    motion: str
    permits: tuple[Permit, ...]
    asking: tuple[Asking, ...]
    against: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """A signal that keeps something from being so: its label, terminal, and whether it shows yes."""

    label: str
    terminal: str
    yes: bool


@dataclass(frozen=True, slots=True)
class Refusal:
    """A motion that somebody asks for and the control does not drive.

    `reasons` are plain sentences; `shown` the signals behind them. `heard` is False where the button was not even
    taken as a request; `by_hand` is False where the running program asks and nobody presses a button.
    """

    motion: str
    what: str
    reasons: tuple[str, ...]
    shown: tuple[Shown, ...]
    heard: bool
    by_hand: bool


def permits_of(assembly: Assembly, netlist: Netlist) -> tuple[Conditions, ...]:
    """Give the conditions of every motion, in the netlist's order."""
    of_name = {motion.name: motion for motion in assembly.motions}
    return tuple(
        Conditions(
            motion.name,
            tuple(
                Permit(netlist.names[f"{motion.name}.permit.{k}"], rule.because)
                for k, rule in enumerate(of_name[motion.name].permits, 1)
            ),
            tuple(_asking(assembly, netlist, (rule.when for rule in of_name[motion.name].requests), motion.name)),
            of_name[motion.name].against,
        )
        for motion in netlist.motions
    )


def _asking(assembly: Assembly, netlist: Netlist, whens: Iterable[Expression], motion: str) -> Iterator[Asking]:
    """The named conditions of the request that listens to a motion's buttons."""
    for when in whens:
        words = list(names(when))
        if f"any.{motion}" in words:
            for word in words:
                if word in assembly.named and word in netlist.names:
                    yield Asking(netlist.names[word], assembly.named[word][0].label or word)


def refusals(live: Live, conditions: Sequence[Conditions]) -> tuple[Refusal, ...]:
    """Give what is asked for now and not driven, and why."""
    values = live.values()
    return tuple(_refusals(live, conditions, values))


def _refusals(live: Live, conditions: Sequence[Conditions], values: Sequence[bool]) -> Iterator[Refusal]:
    netlist = live.script.netlist
    pressed = {name.partition(".")[2] for name in live.pressed}
    by_us = {name.partition(".")[2] for name in live.hands}
    driven = {m.name: bool(values[m.node]) for m in netlist.motions}
    requested = {m.name: bool(values[m.request]) for m in netlist.motions}
    for each in conditions:
        dead = [t for t in live.troubles if t.kind in DEAD and t.target in ("", each.motion)]
        if dead and (requested[each.motion] or each.motion in pressed):
            yield Refusal(each.motion, _what(each.motion), tuple(map(_sentence, dead)), (), True, True)
        elif requested[each.motion] and not driven[each.motion]:
            yield _refused(each, netlist, values, requested, each.motion in pressed)
        elif each.motion in by_us and not requested[each.motion]:
            yield _unheard(each, netlist, values)


def _refused(
    each: Conditions, netlist: Netlist, values: Sequence[bool], requested: dict[str, bool], by_hand: bool
) -> Refusal:
    false = [permit for permit in each.permits if not values[permit.node]]
    reasons = [permit.because for permit in false]
    reasons += [f"{_what(other)} is asked for at the same time" for other in each.against if requested[other]]
    shown = [node for permit in false for node in why_not(netlist, values, permit.node)]
    return Refusal(each.motion, _what(each.motion), _once(reasons), _shown(netlist, values, shown), True, by_hand)


def _unheard(each: Conditions, netlist: Netlist, values: Sequence[bool]) -> Refusal:
    """A button that is not even heard: the permits that would refuse it anyway say more than that it is not."""
    permits = [permit for permit in each.permits if not values[permit.node]]
    asking = [asking for asking in each.asking if not values[asking.node]]
    reasons = [permit.because for permit in permits] or [f"not so: {condition.words}" for condition in asking]
    nodes = [permit.node for permit in permits] or [condition.node for condition in asking]
    shown = [leaf for node in nodes for leaf in why_not(netlist, values, node)]
    why = _once(reasons) or ("its contact does not reach the control",)
    return Refusal(each.motion, _what(each.motion), why, _shown(netlist, values, shown), False, True)


def _once(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))


def _what(motion: str) -> str:
    part, _, direction = motion.partition(".")
    return f"{short_name(part)} {DOES.get(direction, (direction, ''))[0]}"


def _sentence(trouble: Trouble) -> str:
    return trouble.sentence[0].lower() + trouble.sentence[1:].rstrip(".")


def _shown(netlist: Netlist, values: Sequence[bool], nodes: Iterable[int]) -> tuple[Shown, ...]:
    """Sensors first, then controls, then what is remembered."""
    leaves: dict[int, Input | Memory] = {i.node: i for i in netlist.inputs} | {m.node: m for m in netlist.memories}
    found = sorted((leaves[node] for node in dict.fromkeys(nodes)), key=_rank)
    told = [Shown(_label(leaf), getattr(leaf, "terminal", ""), bool(values[leaf.node])) for leaf in found]
    return tuple(dict.fromkeys(shown for shown in told if " " in shown.label))[:MOST_SHOWN]  # a bare name says nothing


def _rank(leaf: Input | Memory) -> int:
    if isinstance(leaf, Memory):
        return 2
    return 0 if leaf.kind == InputKind.SENSOR else 1


def _label(leaf: Input | Memory) -> str:
    return leaf.label.removesuffix(" (last scan)").removesuffix(" (elapsed)")
