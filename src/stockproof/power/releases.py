"""What still moves after power is lost: animals let out from stored oil, or by the hand pump.

A release counts only through a path that needs no electricity: a lever, a manual override, or a part that
gives way by itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stockproof.power import columns as c
from stockproof.power.arrays import Arrays
from stockproof.power.assumed import assumed
from stockproof.power.gas import ATMOSPHERE_PA, nitrogen_pressure
from stockproof.power.laws import motion_oil_m3
from stockproof.power.model import Actuator, Circuit, Condition, Drive
from stockproof.power.prepare import Prepared
from stockproof.power.simulate import Command, simulate

__all__ = ["PowerLoss", "after_power_loss"]

#: Parts whose opening lets an animal breathe, stand and go, in the order they are worked.
_RELIEVE = ("squeeze", "lift")
_RELEASE = ("bail",)
#: Parts worked to bring the next animal forward and shut it in again.
_NEXT = ("slide", "entry")
_STEP_S = 30.0
_MOST = 50


@dataclass(frozen=True, slots=True)
class PowerLoss:
    """What is left a time after power is lost.

    Parameters
    ----------
    after_s : float
        Time since power was lost; the store was at cut-in then (the unfavourable end).
    stored_m3, gas_pa : float
        Oil and pressure left, after leakage and with the gas at air temperature.
    from_store : int
        Animals relieved, released and followed by the next, from stored oil alone, without electricity.
    oil_per_release_m3 : float
        Oil of one such round.
    hand_strokes, hand_s : float
        Double strokes and time of one release (relieve and release only) by the hand pump; infinite without.
    by_hand : bool
        Whether the hand pump can do it at all.
    blocked : tuple of str
        Parts that cannot be moved without electricity.
    """

    condition: str
    after_s: float
    stored_m3: float
    gas_pa: float
    from_store: int
    oil_per_release_m3: float
    hand_strokes: float
    hand_s: float
    by_hand: bool
    blocked: tuple[str, ...]

    @property
    def releases(self) -> float:
        """Animals that can be let out: from the store, or as many as wanted where a hand pump does it."""
        return float("inf") if self.by_hand else float(self.from_store)


def after_power_loss(prepared: Prepared, condition: Condition, after_s: float) -> PowerLoss:
    """Give what is left of a circuit a time after power was lost."""
    circuit = prepared.circuit
    made = prepared.arrays(condition).with_pump(0.0)
    waited = simulate(made, (), start_pa=circuit.pack.cut_in_pa, until_s=max(after_s, 1e-3))
    stored = float(made.store[c.SHELL] - waited.state[c.GAS_VOLUME]) if made.store[c.GAS_MASS] else 0.0
    blocked = tuple(a.part for a in _needed(circuit) if not _without_electricity(a))
    relieving = [(a, d) for a, d in _round(circuit)[: len(_parts(circuit, _RELIEVE + _RELEASE))] if not d.closing]
    per_release = sum((motion_oil_m3(actuator, drive) for actuator, drive in relieving), start=0.0)
    stroke = circuit.pack.hand_pump_stroke_m3
    by_hand = stroke is not None and not blocked
    strokes = per_release / stroke if stroke else float("inf")
    gas_pa = _pressure_with(made, stored)
    return PowerLoss(
        condition=condition.name,
        after_s=after_s,
        stored_m3=stored,
        gas_pa=gas_pa,
        from_store=0 if blocked or stored <= 0.0 else _rounds(prepared, made, gas_pa),
        oil_per_release_m3=sum(motion_oil_m3(a, d) for a, d in _round(circuit)),
        hand_strokes=strokes,
        hand_s=strokes / assumed("hand_strokes"),
        by_hand=by_hand,
        blocked=blocked,
    )


def _parts(circuit: Circuit, names: tuple[str, ...]) -> list[Actuator]:
    return [actuator for name in names for actuator in circuit.actuators if actuator.part == name]


def _needed(circuit: Circuit) -> list[Actuator]:
    return _parts(circuit, _RELIEVE + _RELEASE + _NEXT)


def _without_electricity(actuator: Actuator) -> bool:
    return (
        actuator.valve.style == "lever" or actuator.valve.manual_override or actuator.valve.undriven == "springs_back"
    )


def _round(circuit: Circuit) -> list[tuple[Actuator, Drive]]:
    """One animal let out and the next shut in: relieve, release, bail shut, slide and entry there and back."""
    drives = [(a, a.opening) for a in _parts(circuit, _RELIEVE + _RELEASE)]
    drives += [(a, a.closing) for a in _parts(circuit, _RELEASE)]
    drives += [(a, drive) for a in _parts(circuit, _NEXT) for drive in (a.opening, a.closing)]
    return [(actuator, drive) for actuator, drive in drives if drive is not None]


def _rounds(prepared: Prepared, made: Arrays, gas_pa: float) -> int:
    """Releases done from the store: the last one needs no follower, so a round counts when its bail is open."""
    circuit = prepared.circuit
    order = {actuator.part: n for n, actuator in enumerate(circuit.actuators)}
    sequence = _round(circuit)
    releases = sum(1 for actuator, drive in sequence if actuator.part in _RELEASE and drive is actuator.opening)
    if not releases:
        return 0
    place = np.zeros(len(circuit.actuators))
    for actuator in circuit.actuators:
        first = actuator.closing or actuator.drives[0]
        place[order[actuator.part]] = first.to_share * actuator.stroke_m
    count, pressure = 0, gas_pa
    for _ in range(_MOST):
        for actuator, drive in sequence:
            n = order[actuator.part]
            command = Command(0.0, n, drive.way, drive.to_share * actuator.stroke_m)
            if abs(place[n] - command.to_m) < 1e-9:
                continue
            done = simulate(made, (command,), start_pa=pressure, until_s=_STEP_S, place_m=place, to_rest=True)
            if not np.isfinite(done.arrive_s[0]):
                return count
            place = done.place_m
            pressure = _pressure_with(made, float(made.store[c.SHELL] - done.state[c.GAS_VOLUME]))
            if actuator.part in _RELEASE and drive is actuator.opening:
                count += 1
    return count


def _pressure_with(made: Arrays, stored_m3: float) -> float:
    """Gas pressure with so much oil stored, the gas at air temperature: people work slowly. [Pa]"""
    if not made.store[c.GAS_MASS]:
        return 0.0
    density = made.store[c.GAS_MASS] / (made.store[c.SHELL] - stored_m3)
    return nitrogen_pressure(float(density), made.ambient_k) - ATMOSPHERE_PA
