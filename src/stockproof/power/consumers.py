"""What the control's supply unit feeds: electronics, sensors, lamps and coils of valves, from the catalogue."""

from __future__ import annotations

from collections.abc import Iterator

from stockproof.catalogue.items import Controller, ControlPoint, ItemBase, Sensor, TagReader, WeighPlatform
from stockproof.installation import Installation
from stockproof.power.model import Consumer, Control

__all__ = ["control"]

KINDS: tuple[tuple[type[ItemBase], str], ...] = (
    (Controller, "controller, its lamps included"),
    (ControlPoint, "panels and remotes, their lamps included"),
    (Sensor, "sensors"),
    (WeighPlatform, "weigh indicator"),
    (TagReader, "tag reader"),
)


def control(installation: Installation) -> Control | None:
    """Give the electric side of the control of a build; None where it has no controller."""
    controller = installation.one(Controller)
    if controller is None:
        return None
    return Control(controller.ride_through_s, controller.supply_efficiency, tuple(_consumers(installation)))


def _consumers(installation: Installation) -> Iterator[Consumer]:
    for kind, label in KINDS:
        chosen = [each for each in installation.build if isinstance(each.item, kind)]
        if chosen:
            yield Consumer(
                label,
                sum(each.count for each in chosen),
                sum(each.count * (each.item.electric_w or 0.0) for each in chosen),
                tuple(each.item.name for each in chosen if each.item.electric_w is None),
            )
    valves = [valve for each in installation.build for valve in each.item.valve if valve.style != "lever"]
    if valves:
        yield Consumer(
            "coils of valves, one driven in each",
            len(valves),
            sum(valve.coil_w or 0.0 for valve in valves),
            tuple(f"coil of the {valve.part}" for valve in valves if valve.coil_w is None),
        )
