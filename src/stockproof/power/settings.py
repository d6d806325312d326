"""What the commissioning engineer sets: pressures and throttles of each part, and a card for a change of class.

Settings lie between what moves the part and what the animal is spared; the animal is watched, not the gauge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stockproof.power.assumed import assumed
from stockproof.power.cylinders import cylinder_pressure
from stockproof.power.forces import pressure_limit_pa
from stockproof.power.laws import motion_oil_m3
from stockproof.power.model import Actuator, Circuit
from stockproof.power.prepare import Prepared
from stockproof.power.times import MotionTimes

__all__ = ["CARD_CAUTION", "CardRow", "ClassNeed", "PackSetting", "PartSetting"]
__all__ += ["class_card", "pack_settings", "part_settings"]

CARD_CAUTION = (
    "Watch the animal, not the gauge: ease off at once when it struggles, bellows, goes quiet or breathes hard. "
    "Lowest pressure that does the work; never above the figure on this card."
)
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class PartSetting:
    """One part's valve: what is set, the firm's limits, and the times to check it by."""

    part: str
    kind: str
    setting_pa: float
    lowest_pa: float
    highest_pa: float
    motion: str
    time_s: float
    oil_m3: float
    reaches: bool


@dataclass(frozen=True, slots=True)
class PackSetting:
    """One setting of pack or store."""

    name: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class ClassNeed:
    """What a class of stock asks: its weight and, where known, widths between the parts."""

    name: str
    weight_kg: float
    squeeze_width_m: float | None = None
    neck_width_m: float | None = None


@dataclass(frozen=True, slots=True)
class CardRow:
    """A part's setting for a class of stock.

    `setting_pa` is the lower of what the part is set to, what the pads' limits allow and what keeps the force
    under the animal's own weight; `possible` is False where even the lowest setting that moves it is above.
    """

    stock: str
    part: str
    width_m: float | None
    setting_pa: float
    force_n: float
    pad_pa: float
    limited_by: str
    possible: bool


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
        )
        for actuator in prepared.circuit.actuators
        for drive in actuator.drives
    )


def pack_settings(circuit: Circuit) -> tuple[PackSetting, ...]:
    """Give what is set at pack and store."""
    pack, store = circuit.pack, circuit.accumulator
    rows = [
        PackSetting("main relief valve", pack.relief_pa, "Pa"),
        PackSetting("unloading valve, cut-out", pack.cut_out_pa, "Pa"),
        PackSetting("unloading valve, cut-in", pack.cut_in_pa, "Pa"),
    ]
    if store is not None:
        rows.append(PackSetting("nitrogen precharge at 20 degC", store.precharge_pa, "Pa"))
    return tuple(rows)


def class_card(prepared: Prepared, classes: Sequence[ClassNeed]) -> tuple[CardRow, ...]:
    """Give the card for changing from one class of stock to another: the parts that press on an animal."""
    return tuple(
        _card_row(actuator, need) for need in classes for actuator in prepared.circuit.actuators if actuator.pads
    )


def _card_row(actuator: Actuator, need: ClassNeed) -> CardRow:
    """The lowest of the bounds decides; each is turned into a setting at this part."""
    own_weight = assumed("own_weights_limit") * need.weight_kg * GRAVITY
    bounds = {"the setting that moves the part in time": _force_at(actuator, actuator.valve.setting_pa)}
    for pad in actuator.pads:
        limit = pressure_limit_pa(pad.touches) * pad.area_m2 / pad.share
        bounds[f"stated limit of pressure on the {pad.touches}"] = limit
    bounds["the animal's own weight"] = own_weight
    limited_by = min(bounds, key=lambda name: bounds[name])
    force = bounds[limited_by]
    setting = min(_setting_for(actuator, force), actuator.valve.setting_pa)
    possible = setting >= actuator.valve.setting_min_pa * (1 - 1e-9)
    setting = max(setting, actuator.valve.setting_min_pa)
    force = _force_at(actuator, setting)
    widths = {"squeeze": need.squeeze_width_m, "bail": need.neck_width_m}
    return CardRow(
        need.name,
        actuator.part,
        widths.get(actuator.part),
        setting,
        force,
        max(force * pad.share / pad.area_m2 for pad in actuator.pads),
        limited_by,
        possible,
    )


def _force_at(actuator: Actuator, setting_pa: float) -> float:
    """Force at the part when it rests on an animal, dry friction taken off."""
    rod = _rest(setting_pa, actuator) * actuator.closing_area_m2
    return max(0.0, rod - actuator.friction_n) * actuator.linkage_ratio * actuator.count


def _setting_for(actuator: Actuator, force_n: float) -> float:
    rod = force_n / (actuator.linkage_ratio * actuator.count) + actuator.friction_n
    return cylinder_pressure(rod, actuator.closing_area_m2) / _rest(1.0, actuator)


def _rest(setting_pa: float, actuator: Actuator) -> float:
    """A reducing valve holds half its band above its setting when nothing flows."""
    return setting_pa * (1 + 0.5 * assumed("reducing_band_share") if actuator.valve.reduces else 1.0)
