"""What the items of an installation bring to the control, as devices."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stockproof.catalogue import Catalogue, ItemBase
from stockproof.catalogue.items import SideAccessGate
from stockproof.catalogue.line import part_name
from stockproof.catalogue.parts import Rule as RuleText
from stockproof.catalogue.parts import Signal
from stockproof.errors import Fault, InputError
from stockproof.logic.devices import Device, DeviceMotion, DeviceSignal
from stockproof.logic.library import BY_KIND
from stockproof.logic.rules import Rule, RuleKind
from stockproof.netlist.expression import TRUE, Expression, parse
from stockproof.netlist.model import InputKind
from stockproof.plant.compile import VERBS
from stockproof.tomlfile import KeyPath

__all__ = ["devices_of"]


def devices_of(items: Iterable[ItemBase], catalogue: Catalogue) -> tuple[Device, ...]:
    """Give one device for every item that moves, senses or is pressed.

    Raises
    ------
    InputError
        A rule of an item is no boolean expression, or lacks or has too much of what its kind asks for.
    """
    faults: list[Fault] = []
    devices = tuple(_device(item, catalogue, faults) for item in items)
    if faults:
        raise InputError(faults)
    return devices


def _device(item: ItemBase, catalogue: Catalogue, faults: list[Fault]) -> Device:
    path: KeyPath = ("item", catalogue.items.index(item))
    kind = str(getattr(item, "kind"))  # noqa: B009
    motions = tuple(
        DeviceMotion(
            f"{motion.part}.{motion.direction}",
            f"{motion.part.replace('_', ' ')} {VERBS[motion.direction]}",
            place=catalogue.toml.place((*path, "motion", k)),
        )
        for k, motion in enumerate(item.motion)
    )
    return Device(
        part_name(item),
        kind,
        item.name,
        item.fragment or _fragment(item, kind),
        motions,
        tuple(_signals(item, catalogue, path)),
        tuple(_rule(rule, catalogue, (*path, "rule", k), faults) for k, rule in enumerate(item.rule)),
        catalogue.toml.place(path),
    )


def _fragment(item: ItemBase, kind: str) -> str:
    if isinstance(item, SideAccessGate) and item.place == "neck":
        return "neck_access_gate"
    # a part worked by hand has no motions for its fragment's rules to speak of
    by_hand = not item.motion and getattr(item, "powered", True) is False
    return "" if by_hand else BY_KIND.get(kind, "")


def _signals(item: ItemBase, catalogue: Catalogue, path: KeyPath) -> Iterator[DeviceSignal]:
    for k, signal in enumerate(item.signal):
        if signal.kind != "memory":
            place = catalogue.toml.place((*path, "signal", k))
            yield DeviceSignal(signal.name, _kind(signal), signal.label, signal.terminal, place)


def _kind(signal: Signal) -> InputKind | None:
    if signal.kind == "lamp":
        return None
    if signal.kind == "sensor":
        return InputKind.SENSOR
    return InputKind.MAINTAINED if signal.acts == "maintained" else InputKind.MOMENTARY


def _rule(rule: RuleText, catalogue: Catalogue, path: KeyPath, faults: list[Fault]) -> Rule:
    def expression(text: str, key: str) -> Expression:
        try:
            return parse(text, catalogue.toml.place((*path, key))) if text else TRUE
        except InputError as error:
            faults.extend(error.faults)
            return TRUE

    kind = RuleKind(rule.kind)
    for key, needed, given in (
        ("reset", kind == RuleKind.LATCH, bool(rule.reset)),
        ("delay", kind == RuleKind.ON_DELAY, rule.delay_s is not None),
    ):
        if needed != given:
            what = f"a rule of kind {rule.kind} {'needs' if needed else 'has no'} {key}"
            faults.append(Fault(what, catalogue.toml.place((*path, key))))
    return Rule(
        kind,
        rule.target,
        expression(rule.when, "when"),
        expression(rule.reset, "reset") if rule.reset else None,
        rule.delay_s or 0.0,
        expression(rule.present, "present"),
        rule.label,
        rule.because,
        catalogue.toml.place(path),
    )
