"""What the commissioning engineer sets: pressures and throttles of each part, pack and store."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stockproof.power.card import setting_for
from stockproof.power.forces import pressure_limit_pa
from stockproof.power.laws import motion_oil_m3
from stockproof.power.model import Actuator, Circuit
from stockproof.power.prepare import Prepared
from stockproof.power.times import MotionTimes

__all__ = ["PackSetting", "PartSetting", "pack_settings", "part_settings"]


@dataclass(frozen=True, slots=True)
class PartSetting:
    """One part's valve: what is set, the firm's limits, and the times to check it by.

    `possible` is False where even the lowest setting presses more on an animal than the stated limit.
    """

    part: str
    kind: str
    setting_pa: float
    lowest_pa: float
    highest_pa: float
    motion: str
    time_s: float
    oil_m3: float
    reaches: bool
    possible: bool


@dataclass(frozen=True, slots=True)
class PackSetting:
    """One setting of pack or store."""

    name: str
    value: float
    unit: str


def part_settings(prepared: Prepared, times: Sequence[MotionTimes]) -> tuple[PartSetting, ...]:
    """Give every part's setting with the times that prove it on the day."""
    by_motion = {row.motion: row for row in times if row.condition == "normal"}
    return tuple(
        PartSetting(
            actuator.part,
            "reducing-relieving valve" if actuator.valve.reduces else "relief valve",
            actuator.valve.setting_pa,
            actuator.valve.setting_min_pa,
            actuator.valve.setting_max_pa,
            drive.name,
            by_motion[drive.name].normal_s,
            motion_oil_m3(actuator, drive),
            by_motion[drive.name].reaches,
            _possible(actuator),
        )
        for actuator in prepared.circuit.actuators
        for drive in actuator.drives
    )


def _possible(actuator: Actuator) -> bool:
    limits = (pressure_limit_pa(pad.touches) * pad.area_m2 / pad.share for pad in actuator.pads)
    return all(setting_for(actuator, limit) >= actuator.valve.setting_min_pa for limit in limits)


def pack_settings(circuit: Circuit) -> tuple[PackSetting, ...]:
    """Give what is set at pack and store."""
    pack, store = circuit.pack, circuit.accumulator
    relief = PackSetting("main relief valve", pack.relief_pa, "Pa")
    if store is None:
        # the unloading valve loads the pump while a part is driven: there is no pressure to set it to
        return (relief,)
    return (
        relief,
        PackSetting("unloading valve, cut-out", pack.cut_out_pa, "Pa"),
        PackSetting("unloading valve, cut-in", pack.cut_in_pa, "Pa"),
        PackSetting("nitrogen precharge at 20 degC", store.precharge_pa, "Pa"),
    )
