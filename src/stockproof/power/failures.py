"""Single failures of the hydraulics: what falls, moves or stays, how it shows, what still works."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from stockproof.power import columns as c
from stockproof.power.arrays import arrays
from stockproof.power.assumed import assumed
from stockproof.power.drive import pump_overall_efficiency
from stockproof.power.heat import pump_heat
from stockproof.power.model import Actuator, Circuit
from stockproof.power.prepare import Prepared
from stockproof.power.simulate import motion_time_s
from stockproof.power.throttles import normal_pressure_pa

__all__ = ["Failure", "single_failures"]

#: A return filter's bypass opens here (common practice).
BYPASS_PA = 3e5


@dataclass(frozen=True, slots=True)
class Failure:
    """One failure.

    Parameters
    ----------
    code : str
        Stable short name.
    what, then, shows, remains : str
        What fails; what moves or stays; how people notice; what still works.
    slowing_share : float
        How much longer the slowest motion takes, where it still moves; 0 where it makes no difference.
    moves_unasked : bool
        Whether a part may move without a command.
    """

    code: str
    what: str
    then: str
    shows: str
    remains: str
    slowing_share: float
    moves_unasked: bool


def single_failures(prepared: Prepared) -> tuple[Failure, ...]:
    """Give every single failure of a circuit."""
    circuit = prepared.circuit
    found = [_precharge_lost(prepared)] if circuit.accumulator else []
    found += [_hose_burst(circuit, actuator) for actuator in circuit.actuators]
    found += [_valve_stuck(circuit, actuator) for actuator in circuit.actuators]
    return (*found, _filter_blocked(prepared), _relief_open(circuit), _unloader_stuck(circuit))


def _precharge_lost(prepared: Prepared) -> Failure:
    without = Prepared(replace(prepared.circuit, accumulator=None), prepared.throttles)
    return Failure(
        "precharge_lost",
        "nitrogen lost from the accumulator",
        "parts move by the pump alone; the pump loads and unloads many times a minute, with knocks in the hoses",
        "slow gates, gauge falling at once when a gate moves",
        "all motions, slowly, while there is power; no release from stored oil without it",
        _slowing(prepared, without),
        moves_unasked=False,
    )


def _hose_burst(circuit: Circuit, actuator: Actuator) -> Failure:
    part, valve = actuator.part, actuator.valve
    if valve.lock_valve:
        then, moves = f"{part} stays: oil is locked at its cylinder", False
    elif actuator.load_n != 0.0:
        then, moves = f"{part} moves under its own load", True
    else:
        then, moves = f"{part} can be pushed by an animal or by hand", True
    oil = "the store empties and the pump feeds the leak" if circuit.accumulator else "the pump feeds the leak"
    return Failure(
        f"hose_burst.{part}",
        f"hose of {part} bursts",
        f"{then}; while it is driven {oil}",
        "oil on the ground, low-pressure signal or falling gauge; keep hands away, oil under pressure pierces skin",
        "release by other parts until the store is empty; stop the pump first"
        if circuit.accumulator
        else "nothing while the pump feeds the leak: stop it",
        0.0,
        moves_unasked=moves,
    )


def _valve_stuck(circuit: Circuit, actuator: Actuator) -> Failure:
    # its override or lever works the same spool, so neither is a help
    vent = "stop the pump and vent the store" if circuit.accumulator else "stop the pump"
    remains = f"nothing at the valve: its override works the same spool; {vent} to take its force away"
    if actuator.valve.bypass:
        remains = f"{vent}; the bypass at its cylinder lets it be pushed by hand"
    return Failure(
        f"valve_stuck.{actuator.part}",
        f"valve of {actuator.part} sticks where it is",
        f"{actuator.part} goes to its end or stays; its set pressure still bounds its force",
        "it does not follow its control",
        remains,
        0.0,
        moves_unasked=True,
    )


def _filter_blocked(prepared: Prepared) -> Failure:
    return Failure(
        "filter_blocked",
        "return filter blocked, its bypass open",
        "unfiltered oil goes round; back pressure slows the way in more than the way out",
        "the filter's indicator",
        "all motions",
        _slowing(prepared, prepared, back_pa=BYPASS_PA),
        moves_unasked=False,
    )


def _relief_open(circuit: Circuit) -> Failure:
    kept = "the store keeps its oil behind the check valve" if circuit.accumulator else "nothing moves"
    return Failure(
        "relief_open",
        "main relief valve stuck open",
        f"the pump makes no pressure; {kept}",
        "low pressure, hot oil, a hiss at the valve",
        "releases from the store or by hand" if circuit.accumulator else "releases by hand",
        float("inf"),
        moves_unasked=False,
    )


def _unloader_stuck(circuit: Circuit) -> Failure:
    pack = circuit.pack
    heat_w = pump_heat(
        efficiency=pump_overall_efficiency(pack.volumetric_efficiency, pack.mechanical_efficiency),
        pressure=pack.relief_pa,
        flow=pack.flow_m3_per_s,
        relief_share=1.0,
    )
    return Failure(
        "unloader_shut",
        "unloading valve does not open",
        f"the pump delivers over the main relief valve all the time and puts {heat_w / 1e3:.1f} kW into the oil",
        "noise and hot oil; an engine that labours all the time"
        if circuit.pack.drive == "petrol"
        else "noise and hot oil; a motor that draws full current all the time",
        "all motions, until the oil is too hot",
        0.0,
        moves_unasked=False,
    )


def _slowing(prepared: Prepared, failed: Prepared, *, back_pa: float = 0.0) -> float:
    """Worst ratio of motion times with and without the failure, less one; normal conditions, normal pressure."""
    condition = prepared.circuit.condition("normal")
    well, ill = prepared.arrays(condition), arrays(failed.circuit, condition, failed.throttles)
    if back_pa:
        store = ill.store.copy()
        # an orifice that drops the bypass pressure where a clean filter drops a bar
        store[c.RETURN] = assumed("return_flow") / back_pa**0.5
        ill = replace(ill, store=store)
    worst = 0.0
    for n, actuator in enumerate(prepared.circuit.actuators):
        for drive in actuator.drives:
            times = [
                motion_time_s(
                    made,
                    n,
                    way=drive.way,
                    from_share=drive.from_share,
                    to_share=drive.to_share,
                    start_pa=normal_pressure_pa(prepared.circuit),
                )
                for made in (well, ill)
            ]
            worst = max(worst, times[1] / times[0] - 1 if np.isfinite(times[0]) else 0.0)
    return worst
