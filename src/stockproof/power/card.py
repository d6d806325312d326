"""The card for a change of class of stock: widths, pressures and timers of every part that presses on an animal.

Settings lie between what moves the part and what the animal is spared; the animal is watched, not the gauge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

from stockproof.power.arrays import Arrays
from stockproof.power.assumed import assumed
from stockproof.power.cylinders import cylinder_pressure
from stockproof.power.forces import pressure_limit_pa
from stockproof.power.laws import switching_lag_s
from stockproof.power.model import Actuator
from stockproof.power.prepare import Prepared
from stockproof.power.simulate import motion_time_s

__all__ = ["CARD_CAUTION", "CardRow", "ClassNeed", "class_card", "setting_for"]

CARD_CAUTION = (
    "Watch the animal, not the gauge: ease off at once when it struggles, bellows, goes quiet or breathes hard. "
    "Lowest pressure that does the work; never above the figure on this card."
)
GRAVITY = 9.80665
#: A watch timer waits a quarter longer than the slowest usual motion (common practice).
_WATCH_MARGIN = 1.25


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
    `closing_s` is the time it then takes to close, warm and with the store at cut-in; `watch_s` the time after
    which the control should call it slow, so that the coldest morning raises no false alarm; `control_s` what the
    control is set to, None where it was not said.
    """

    stock: str
    part: str
    width_m: float | None
    setting_pa: float
    force_n: float
    pad_pa: float
    limited_by: str
    possible: bool
    closing_s: float
    watch_s: float
    control_s: float | None

    @property
    def watch_long_enough(self) -> bool:
        """Whether the control waits at least as long as the card asks."""
        return self.control_s is None or self.control_s >= self.watch_s


def class_card(prepared: Prepared, classes: Sequence[ClassNeed], watches_s: Mapping[str, float]) -> tuple[CardRow, ...]:
    """Give the card for changing from one class of stock to another: the parts that press on an animal.

    Parameters
    ----------
    prepared : Prepared
        The circuit as commissioned.
    classes : sequence of ClassNeed
        The classes of stock.
    watches_s : mapping
        What the control's timers are set to, by part: the time after which it calls a closing part slow. [s]
    """
    warm, cold = (prepared.arrays(prepared.circuit.condition(name)) for name in ("normal", "cold_morning"))
    return tuple(
        _card_row(n, prepared, need, (warm, cold), watches_s.get(actuator.part))
        for need in classes
        for n, actuator in enumerate(prepared.circuit.actuators)
        if actuator.pads
    )


def setting_for(actuator: Actuator, force_n: float) -> float:
    """Setting at which a part rests on an animal with such a force. [Pa]"""
    rod = force_n / (actuator.linkage_ratio * actuator.count) + actuator.friction_n
    return cylinder_pressure(rod, actuator.closing_area_m2) / _rest(1.0, actuator)


def _card_row(
    n: int, prepared: Prepared, need: ClassNeed, made: tuple[Arrays, Arrays], control_s: float | None
) -> CardRow:
    """The lowest of the bounds decides; each is turned into a setting at this part."""
    actuator = prepared.circuit.actuators[n]
    own_weight = assumed("own_weights_limit") * need.weight_kg * GRAVITY
    bounds = {"the setting that moves the part in time": _force_at(actuator, actuator.valve.setting_pa)}
    for pad in actuator.pads:
        limit = pressure_limit_pa(pad.touches) * pad.area_m2 / pad.share
        bounds[f"stated limit of pressure on the {pad.touches}"] = limit
    bounds["the animal's own weight"] = own_weight
    limited_by = min(bounds, key=lambda name: bounds[name])
    force = bounds[limited_by]
    setting = min(setting_for(actuator, force), actuator.valve.setting_pa)
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
        closing_s=_closing_s(n, prepared, made[0], setting),
        watch_s=_WATCH_MARGIN * _closing_s(n, prepared, made[1], setting),
        control_s=control_s,
    )


def _closing_s(n: int, prepared: Prepared, made: Arrays, setting_pa: float) -> float:
    """Time to close at another setting, from the signal, the store at cut-in. [s]"""
    actuator = prepared.circuit.actuators[n]
    if actuator.closing is None:
        return inf
    took = motion_time_s(
        made.with_setting(n, setting_pa),
        n,
        way=actuator.closing.way,
        from_share=actuator.closing.from_share,
        to_share=actuator.closing.to_share,
        start_pa=prepared.circuit.pack.cut_in_pa,
        loading=True,
    )
    return switching_lag_s(actuator) + took


def _force_at(actuator: Actuator, setting_pa: float) -> float:
    """Force at the part when it rests on an animal, dry friction taken off."""
    rod = _rest(setting_pa, actuator) * actuator.closing_area_m2
    return max(0.0, rod - actuator.friction_n) * actuator.linkage_ratio * actuator.count


def _rest(setting_pa: float, actuator: Actuator) -> float:
    """A reducing valve holds half its band above its setting when nothing flows."""
    return setting_pa * (1 + 0.5 * assumed("reducing_band_share") if actuator.valve.reduces else 1.0)
