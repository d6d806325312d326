"""The reduced solver against the full stiff model, exact hand values, conservation, and the known traps."""

from __future__ import annotations

import importlib.util
import math
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from stockproof.motion import MotionLaws, begin, part_arrives_s
from stockproof.motion import new_state as new_oil
from stockproof.power import columns as c
from stockproof.power.arrays import Arrays
from stockproof.power.gas import ATMOSPHERE_PA, nitrogen_density, nitrogen_pressure
from stockproof.power.kernel import gas_pressure, new_state, run, stored_oil
from stockproof.power.laws import over_pressure
from stockproof.power.model import Drive
from stockproof.power.part import part_velocity
from stockproof.power.valves import orifice_drop, orifice_viscous_part, reduced_pressure

Floats = NDArray[np.float64]
ROOM_K = 293.15
BAR = 1e5
RHO = 870.0
MU = 46e-6 * RHO


def through(litres_per_min: float, bar: float) -> float:
    return litres_per_min / 6e4 / math.sqrt(bar * BAR)


def a_part(**changes: float) -> Floats:
    """50/25 mm x 600 mm, 120 kg, 200 N dry + 300 N s/m, reducing valve 50 bar +-2, 8 m of 10 mm hose."""
    row = np.zeros(c.PART_COLUMNS)
    values: dict[str, float] = {
        "CAP_AREA": math.pi * 0.05**2 / 4,
        "ROD_AREA": math.pi * (0.05**2 - 0.025**2) / 4,
        "MASS": 120,
        "VISCOUS": 300,
        "FRICTION": 200,
        "STROKE": 0.6,
        "SETTING": 50 * BAR,
        "BAND": 4 * BAR,
        "REDUCES": 1,
        "PORT_RELIEF": math.inf,
        "REDUCER": through(30, 5),
        "VALVE": through(40, 7),
        "HOSE_LENGTH": 8,
        "HOSE_BORE": 0.01,
        "OUT_THROTTLE": through(20, 20),
        "IN_THROTTLE": through(20, 20),
        "CUSHION_DROP": 30 * BAR,
    } | changes
    for name, value in values.items():
        row[getattr(c, name)] = value
    for width in ("VALVE", "OUT_THROTTLE", "IN_THROTTLE"):
        place = getattr(c, f"{width}_VISCOUS")
        row[place] = orifice_viscous_part(conductance=row[getattr(c, width)], viscosity_pa_s=MU, density=RHO)
    return row


def a_store(**changes: float) -> Floats:
    """10 L precharged to 90 bar, pump 8 L/min, unloading 140/115 bar, VG 46 at 40 degC."""
    row = np.zeros(c.STORE_COLUMNS)
    values: dict[str, float] = {
        "SHELL": 0.010,
        "GAS_MASS": nitrogen_density(90 * BAR + ATMOSPHERE_PA, ROOM_K) * 0.010,
        "GAS_TAU": 30,
        "WALL": ROOM_K,
        "STUB": through(60, 0.5),
        "PUMP_FLOW": 8 / 6e4,
        "RELIEF_CRACK": 150 * BAR,
        "RELIEF_OVERRIDE": 10 * BAR / (8 / 6e4),
        "CUT_IN": 115 * BAR,
        "CUT_OUT": 140 * BAR,
        "DENSITY": RHO,
        "VISCOSITY": MU,
        "RETURN": through(60, 1),
    } | changes
    for name, value in values.items():
        row[getattr(c, name)] = value
    for width in ("STUB", "RETURN"):
        place = getattr(c, f"{width}_VISCOUS")
        row[place] = orifice_viscous_part(conductance=row[getattr(c, width)], viscosity_pa_s=MU, density=RHO)
    return row


Command = tuple[float, int, int, float]


def drive(
    parts: Floats,
    store: Floats,
    commands: list[Command],
    *,
    until: float,
    gas_bar: float = 130.0,
    tolerance: float = 1e-6,
    places: list[float] | None = None,
    power: bool = True,
    loading: bool | None = None,
) -> tuple[Floats, Floats, Floats]:
    """Arrivals, end state and end places of a run."""
    volume = store[c.GAS_MASS] / nitrogen_density(gas_bar * BAR + ATMOSPHERE_PA, ROOM_K) if store[c.GAS_MASS] else 0.0
    state = new_state(store, min(volume, store[c.SHELL]), ROOM_K)
    state[c.POWERED] = 1.0 if power else 0.0
    if loading is not None:
        state[c.LOADING] = float(loading)
    place = np.array(places if places is not None else [0.0] * parts.shape[0])
    times, which, ways, goals = (np.array(column) for column in zip(*commands, strict=True))
    arrive, _ = run(
        parts,
        store,
        state,
        place,
        times.astype(np.float64),
        which.astype(np.int64),
        ways.astype(np.int64),
        goals.astype(np.float64),
        until_s=until,
        tolerance_m=tolerance,
    )
    return arrive, state, place


@pytest.fixture(scope="module")
def full() -> ModuleType:
    spec = importlib.util.spec_from_file_location("full_model", Path(__file__).with_name("full_model.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    # compiled functions are looked up by their module's name when they come from the cache
    sys.modules["full_model"] = module
    spec.loader.exec_module(module)
    return module


def full_arrival(
    full: ModuleType, part: Floats, store: Floats, way: int, *, bulk: float = 1.4e9, dead: float = 2e-5
) -> float:
    """When the full model's part reaches the other end, by LSODA."""
    start, end = (0.0, part[c.STROKE]) if way > 0 else (part[c.STROKE], 0.0)
    volume = store[c.GAS_MASS] / nitrogen_density(130 * BAR + ATMOSPHERE_PA, ROOM_K)
    extra = np.array([bulk, dead, 1e-4, 1e-3, 0.0])
    parts, ways = part.reshape(1, -1), np.array([way])

    def rates(t: float, y: Floats) -> Floats:
        return np.asarray(full.slopes(t, y, parts, store, ways, extra))

    def there(t: float, y: Floats) -> float:
        return float(y[3] - end)

    there.terminal = True  # type: ignore[attr-defined]
    tolerance = [1e-9, 1e-4, 10, 1e-7, 1e-6, 10, 10]
    first = np.array([volume, ROOM_K, 130 * BAR, start, 0.0, 0.0, 0.0])
    done = solve_ivp(rates, (0, 40), first, method="LSODA", rtol=1e-6, atol=tolerance, events=there)
    assert done.t_events[0].size == 1
    return float(done.t_events[0][0])


@pytest.mark.parametrize("way", [1, -1])
def test_agrees_with_the_full_model(full: ModuleType, way: int) -> None:
    """Three per mille, with a stiff oil; the rest is the compression the reduced model leaves out."""
    part, store = a_part(), a_store()
    goal, start = (0.6, 0.0) if way > 0 else (0.0, 0.6)
    arrive, _, _ = drive(part.reshape(1, -1), store, [(0.0, 0, way, goal)], until=20, places=[start], loading=False)
    assert arrive[0] == pytest.approx(full_arrival(full, part, store, way), rel=3e-3, abs=3e-3)


@settings(max_examples=12, deadline=None)
@given(
    st.floats(0.025, 0.07),
    st.floats(0.3, 0.7),
    st.floats(5.0, 1500.0),
    st.floats(0.5, 20.0),
    st.floats(0.3, 3.0),
    st.floats(-200.0, 400.0),
    st.booleans(),
    st.sampled_from([1, -1]),
)
def test_agrees_with_the_full_model_over_drawn_circuits(
    full: ModuleType,
    bore: float,
    rod_share: float,
    mass: float,
    hose: float,
    width: float,
    load: float,
    reduces: bool,
    way: int,
) -> None:
    """Within 2 % and 10 ms: heavy parts on small bores accelerate through oil that the full model lets spring.

    A part's relief stays shut here: where it opens, the full model's flow jumps and no stiff solver gets past.
    """
    part = a_part(
        CAP_AREA=math.pi * bore**2 / 4,
        ROD_AREA=math.pi * bore**2 * (1 - rod_share**2) / 4,
        MASS=mass,
        HOSE_LENGTH=hose,
        OUT_THROTTLE=width * through(20, 20),
        IN_THROTTLE=width * through(20, 20),
        FRICTION=50,
        LOAD=load,
        REDUCES=float(reduces),
        METERS_IN=float(not reduces),
        SETTING=(50 if reduces else 200) * BAR,
    )
    # the full model has no pump that loads itself when pressure falls, nor a store that runs dry
    store = a_store(CUT_IN=0.0)
    goal, start = (0.6, 0.0) if way > 0 else (0.0, 0.6)
    arrive, _, _ = drive(part.reshape(1, -1), store, [(0.0, 0, way, goal)], until=39, places=[start], loading=False)
    assert arrive[0] == pytest.approx(full_arrival(full, part, store, way), rel=0.02, abs=0.01)


def _reaches(place: int, goal_m: float) -> Any:
    """An event of scipy's: a rod is at its goal."""

    def event(t: float, y: Floats) -> float:
        return float(y[place] - goal_m)

    event.terminal = True  # type: ignore[attr-defined]
    return event


def full_arrivals(
    full: ModuleType, parts: Floats, store: Floats, ways: list[int], *, gas_bar: float = 130.0, loaded: bool = False
) -> Floats:
    """When each part of the full model reaches the other end, its valve let go there, by LSODA."""
    count = parts.shape[0]
    way = np.array(ways)
    begin = np.where(way > 0, 0.0, parts[:, c.STROKE])
    goal = np.where(way > 0, parts[:, c.STROKE], 0.0)
    volume = store[c.GAS_MASS] / nitrogen_density(gas_bar * BAR + ATMOSPHERE_PA, ROOM_K)
    extra = np.array([1.4e9, 2e-5, 1e-4, 1e-3, float(loaded)])
    y = np.concatenate([[volume, ROOM_K, gas_bar * BAR], *([at, 0.0, 0.0, 0.0] for at in begin)])
    tolerance = np.array([1e-9, 1e-4, 10, *([1e-7, 1e-6, 10, 10] * count)])
    arrived, now = np.full(count, np.nan), 0.0
    while way.any():
        moving = [int(n) for n in np.flatnonzero(way)]

        done = solve_ivp(
            lambda t, y: np.asarray(full.slopes(t, y, parts, store, way, extra)),
            (now, now + 20),
            y,
            method="LSODA",
            rtol=1e-6,
            atol=tolerance,
            events=[_reaches(3 + 4 * n, float(goal[n])) for n in moving],
        )
        first = next(n for n, times in zip(moving, done.t_events, strict=True) if times.size)
        now, y = float(done.t[-1]), done.y[:, -1].copy()
        arrived[first] = now
        way[first] = 0
        y[4 + 4 * first] = 0.0
    return arrived


def test_parts_that_move_at_once_agree_with_the_full_model(full: ModuleType) -> None:
    """Two reducing parts and one that meters in share a narrow stub from the store: each slows the others."""
    parts = np.vstack(
        [
            a_part(FRICTION=50),
            a_part(STROKE=0.4, SETTING=40 * BAR, FRICTION=50, MASS=60),
            a_part(REDUCES=0, METERS_IN=1, SETTING=200 * BAR, STROKE=0.3, MASS=40, FRICTION=50),
        ]
    )
    store = a_store(STUB=through(60, 20), RETURN=through(1000, 1), CUT_IN=0.0)
    commands: list[Command] = [(0.0, n, 1, float(parts[n, c.STROKE])) for n in range(3)]
    together, _, _ = drive(parts, store, commands, until=20, loading=False)
    alone = [
        drive(parts[n : n + 1], store, [(0.0, 0, 1, float(parts[n, c.STROKE]))], until=20, loading=False)[0][0]
        for n in range(3)
    ]
    assert np.all(together > np.array(alone) + 0.02), "each slows the others"
    assert together == pytest.approx(full_arrivals(full, parts, store, [1, 1, 1]), rel=6e-3, abs=3e-3)


def test_hold_force_is_exact_with_dry_friction() -> None:
    """Trap: smoothed friction creeps to 10173 N; at rest the reducing valve holds setting + band/2."""
    part = a_part(CONTACT_AT=0.45, CONTACT_STIFFNESS=200e3, CONTACT_WAY=1)
    # the part comes to rest within the friction band, so its last movement leaves a trace of the tolerance
    for tolerance, share in ((1e-6, 2e-5), (1e-5, 2e-4)):
        _, _, place = drive(part.reshape(1, -1), a_store(), [(0.0, 0, 1, 0.6)], until=6.0, tolerance=tolerance)
        assert 200e3 * (place[0] - 0.45) == pytest.approx(52 * BAR * part[c.CAP_AREA] - 200, rel=share)


@pytest.mark.parametrize("stiffness", [20e3, 60e3, 200e3])
def test_peak_force_at_touch_is_bounded_where_the_reduced_model_damps_it(full: ModuleType, stiffness: float) -> None:
    """Trap: implicit steps damp the blow; force at rest plus speed times root of k m is above the full model's peak."""
    part = a_part(CONTACT_AT=0.45, CONTACT_STIFFNESS=stiffness, CONTACT_WAY=1, FRICTION=0, STROKE=3.0)
    store = a_store()
    volume = store[c.GAS_MASS] / nitrogen_density(130 * BAR + ATMOSPHERE_PA, ROOM_K)
    extra, parts, ways = np.array([1.4e9, 2e-5, 1e-4, 1e-3, 0.0]), part.reshape(1, -1), np.array([1])
    first = np.array([volume, ROOM_K, 130 * BAR, 0.0, 0.0, 0.0, 0.0])
    tolerance = [1e-9, 1e-4, 10, 1e-7, 1e-6, 10, 10]
    done = solve_ivp(
        lambda t, y: np.asarray(full.slopes(t, y, parts, store, ways, extra)),
        (0, 10),
        first,
        method="LSODA",
        rtol=1e-5,
        atol=tolerance,
        max_step=0.01,
    )
    pressed = np.maximum(0.0, done.y[3] - 0.45) * stiffness
    speed = float(done.y[4][done.y[3] < 0.45].max())
    bound = 52 * BAR * part[c.CAP_AREA] + speed * math.sqrt(stiffness * part[c.MASS])
    assert pressed.max() <= bound * 1.001
    assert pressed[-1] == pytest.approx(52 * BAR * part[c.CAP_AREA], rel=0.02)


def test_a_valve_opening_is_linear_near_nothing() -> None:
    """Trap: a pure root law has no slope at rest, and pressure nodes behind it become infinitely stiff."""
    width = through(25, 5)
    viscous = orifice_viscous_part(conductance=width, viscosity_pa_s=MU, density=RHO)
    small = orifice_drop(flow=1e-9, conductance=width, viscous=viscous)
    assert orifice_drop(flow=2e-9, conductance=width, viscous=viscous) == pytest.approx(2 * small, rel=1e-3)
    full_flow = orifice_drop(flow=25 / 6e4, conductance=width, viscous=viscous)
    assert full_flow == pytest.approx(5 * BAR, rel=0.25)
    cold = orifice_viscous_part(conductance=width, viscosity_pa_s=20 * MU, density=RHO)
    assert cold == pytest.approx(20 * viscous)


@pytest.mark.deep
@settings(max_examples=500, deadline=None)
@given(
    st.floats(0.02, 0.1),
    st.floats(0.3, 0.75),
    st.floats(5.0, 2000.0),
    st.floats(0.0, 25.0),
    st.floats(0.1, 5.0),
    st.floats(60.0, 140.0),
    st.booleans(),
    st.booleans(),
)
def test_sweep_of_circuits_gives_finite_bounded_answers(
    bore: float, rod: float, mass: float, hose: float, width: float, bar: float, reduces: bool, has_store: bool
) -> None:
    area = math.pi * bore**2 / 4
    part = a_part(
        CAP_AREA=area,
        ROD_AREA=area * (1 - rod**2),
        MASS=mass,
        HOSE_LENGTH=hose,
        OUT_THROTTLE=width * through(20, 20),
        IN_THROTTLE=width * through(20, 20),
        REDUCES=float(reduces),
        METERS_IN=float(not reduces),
    )
    store = a_store() if has_store else a_store(GAS_MASS=0.0, SHELL=0.0)
    commands: list[Command] = [(0.0, 0, 1, 0.6), (300.0, 0, -1, 0.0)]
    arrive, state, place = drive(part.reshape(1, -1), store, commands, until=600, gas_bar=max(bar, 91.0))
    assert np.all(np.isfinite(state))
    assert 0.0 <= place[0] <= 0.6
    assert np.isfinite(arrive).all()


def test_a_tolerance_ten_times_as_wide_changes_times_little() -> None:
    times = [
        drive(a_part().reshape(1, -1), a_store(), [(0.0, 0, 1, 0.6)], until=10, tolerance=tolerance, loading=False)[0][
            0
        ]
        for tolerance in (1e-4, 1e-5, 1e-8)
    ]
    assert times[0] == pytest.approx(times[2], rel=5e-4)
    assert times[1] == pytest.approx(times[2], rel=1e-4)


def test_strokes_left_stop_where_the_store_is_empty() -> None:
    """Trap: without the clamp at the shell four cycles were reported; here a stroke stops on its way."""
    part = a_part(STROKE=0.5001, FRICTION=0, SETTING=60 * BAR)
    store = a_store(PUMP_FLOW=0.0)
    commands = [(6.0 * k, 0, 1 if k % 2 == 0 else -1, 0.5001 if k % 2 == 0 else 0.0) for k in range(4)]
    arrive, state, place = drive(part.reshape(1, -1), store, commands, until=60, gas_bar=135, power=False)
    assert np.isfinite(arrive).tolist() == [True, True, True, False]
    usable = store[c.SHELL] - store[c.GAS_MASS] / nitrogen_density(135 * BAR + ATMOSPHERE_PA, ROOM_K)
    left_over = usable - 0.5001 * (2 * part[c.CAP_AREA] + part[c.ROD_AREA])
    assert 0.5001 - place[0] == pytest.approx(left_over / part[c.ROD_AREA], abs=4e-3)
    assert stored_oil(store, state) == pytest.approx(0.0, abs=1e-9)
    assert state[c.GAS_VOLUME] <= store[c.SHELL]


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.0, 2.0), st.integers(0, 1), st.booleans()), min_size=1, max_size=12), st.booleans()
)
def test_oil_is_conserved(moves: list[tuple[float, int, bool]], has_store: bool) -> None:
    parts = np.vstack([a_part(), a_part(REDUCES=0, METERS_IN=1, MASS=40, STROKE=0.3)])
    store = a_store() if has_store else a_store(GAS_MASS=0.0, SHELL=0.0)
    commands, at = [], 0.0
    for gap, which, out in moves:
        at += gap
        commands.append((at, which, 1 if out else -1, parts[which, c.STROKE] if out else 0.0))
    _, state, _ = drive(parts, store, commands, until=at + 20)
    gained = stored_oil(store, state) - (
        store[c.SHELL] - store[c.GAS_MASS] / nitrogen_density(130 * BAR + ATMOSPHERE_PA, ROOM_K) if has_store else 0.0
    )
    assert state[c.PUMPED] - state[c.DRAWN] - state[c.LEAKED] == pytest.approx(gained, abs=2e-9)
    assert state[c.DRAWN] >= 0
    assert state[c.PUMPED] <= store[c.PUMP_FLOW] * state[c.LOADED_TIME] + 2e-9 or not has_store


def test_energy_is_conserved() -> None:
    """What the gas gives up, less what throttles and friction turn into heat, is what the parts get."""
    store = a_store(GAS_TAU=math.inf, PUMP_FLOW=0.0)
    parts = a_part(FRICTION=0.0, VISCOUS=0.0, LOAD=2000.0).reshape(1, -1)
    arrive, state, place = drive(parts, store, [(0.0, 0, 1, 0.6)], until=5, loading=False)
    assert np.isfinite(arrive[0])
    kinetic_left = state[c.PART_ENERGY] - 2000.0 * place[0]
    speed = 0.6 / arrive[0]
    # what is not lifted is kinetic energy at the stop, of the order of m v^2 / 2
    assert kinetic_left == pytest.approx(0.5 * 120 * speed**2, rel=0.25)
    work_of_gas = expansion_work(store, state)
    assert 0 < state[c.PART_ENERGY] < work_of_gas


def expansion_work(store: Floats, state: Floats) -> float:
    """Work of the gas on the oil along its own path, at least that at the lowest pressure."""
    start = store[c.GAS_MASS] / nitrogen_density(130 * BAR + ATMOSPHERE_PA, ROOM_K)
    mean = 0.5 * (130 * BAR + gas_pressure(store, state))
    return float(mean * (state[c.GAS_VOLUME] - start))


def test_unloading_has_hysteresis_on_the_manifold_and_gas_is_told_apart() -> None:
    """Trap: the stub's drop shifts cut-out; gas and manifold pressure are two numbers."""
    store = a_store(STUB=through(8, 5))
    _, state, _ = drive(a_part().reshape(1, -1), store, [(0.0, 0, 0, 0.0)], until=120, gas_bar=110)
    assert state[c.LOADINGS] == 1
    assert state[c.LOADING] == 0
    # the valve unloads at 140 bar at the manifold; the gas never got there
    assert gas_pressure(store, state) < 136 * BAR
    hot = nitrogen_pressure(store[c.GAS_MASS] / state[c.GAS_VOLUME], ROOM_K) - ATMOSPHERE_PA
    assert hot <= gas_pressure(store, state) + 1


def test_the_pump_alone_moves_parts_without_a_store() -> None:
    store = a_store(GAS_MASS=0.0, SHELL=0.0)
    part = a_part(FRICTION=0, VISCOUS=0, OUT_THROTTLE=through(200, 1), IN_THROTTLE=through(200, 1))
    arrive, state, _ = drive(part.reshape(1, -1), store, [(0.0, 0, 1, 0.6)], until=30)
    # by hand: all the pump's oil goes into the cylinder
    assert arrive[0] == pytest.approx(0.6 * part[c.CAP_AREA] / (8 / 6e4), rel=1e-3)
    assert state[c.PUMPED] == pytest.approx(0.6 * part[c.CAP_AREA], rel=1e-3)
    two = np.vstack([part, part])
    arrive, _, _ = drive(two, store, [(0.0, 0, 1, 0.6), (0.0, 1, 1, 0.6)], until=60)
    assert max(arrive) == pytest.approx(2 * 0.6 * part[c.CAP_AREA] / (8 / 6e4), rel=2e-3)


#: What each part has of its own, when it is a little heavier or needs a little more pressure than the others.
SHARING = (
    ({"FRICTION": 200}, {"FRICTION": 260}),
    ({"FRICTION": 200}, {"FRICTION": 300, "STROKE": 0.3, "MASS": 60}),
    ({"FRICTION": 200}, {"FRICTION": 220, "MASS": 60}, {"FRICTION": 240, "STROKE": 0.4}),
)


@pytest.mark.parametrize("own", SHARING)
def test_the_law_of_a_shared_pump_agrees_with_the_full_model(
    full: ModuleType, own: tuple[dict[str, float], ...]
) -> None:
    """Parts set off together; the law leaves out mass and cushion, the full model's accumulator is all but shut off."""
    parts = np.vstack([a_part(HOSE_BORE=0.008, **each) for each in own])
    store = a_store(GAS_MASS=0.0, SHELL=0.0)
    drives = [(n, Drive(f"part {n}", 1, 0.0, 1.0, 1.0, True)) for n in range(len(own))]
    pressure_pa, time_s = over_pressure(Arrays(parts, store, ROOM_K), drives)
    laws = MotionLaws(
        names=tuple(drive.name for _, drive in drives),
        lag_s=np.zeros(len(own)),
        time_s=time_s,
        oil_m3=parts[:, c.CAP_AREA] * parts[:, c.STROKE],
        level_m3=np.zeros(pressure_pa.size),
        level_pressure_pa=pressure_pa,
        pump_m3_per_s=store[c.PUMP_FLOW],
        leak_m3_per_s=0.0,
        cut_in_m3=0.0,
        cut_out_m3=0.0,
        start_m3=0.0,
    )
    law = laws.arrays()
    oil = new_oil(law)
    for n in range(len(own)):
        begin(law, oil, n, 1.0, 0.0)
    told = np.array([part_arrives_s(oil, n) for n in range(len(own))])
    shut_off = a_store(STUB=through(1e-4, 100), PUMP_FLOW=store[c.PUMP_FLOW])
    seen = full_arrivals(full, parts, shut_off, [1] * len(own), gas_bar=100.0, loaded=True)
    alone = parts[:, c.CAP_AREA] * parts[:, c.STROKE] / store[c.PUMP_FLOW]
    assert np.all(told > 1.2 * alone), "they share"
    assert told == pytest.approx(seen, rel=2e-3)


def test_two_solvers_of_the_manifold_agree() -> None:
    """A store that surely holds oil is solved part by part; a search for the manifold must say the same."""
    parts = np.vstack([a_part(), a_part(STROKE=0.4, SETTING=40 * BAR)])
    commands: list[Command] = [(0.0, 0, 1, 0.6), (0.0, 1, 1, 0.4)]
    big, small = a_store(), a_store()
    quick, _, _ = drive(parts, big, commands, until=20, loading=False)
    from stockproof.power import kernel

    assert kernel._STORE_SURELY_M3 > 0
    # the same store, but so nearly empty in the solver's eyes that it searches: a huge assumed peak draw
    volume = small[c.GAS_MASS] / nitrogen_density(130 * BAR + ATMOSPHERE_PA, ROOM_K)
    state = new_state(small, volume, ROOM_K)
    state[c.LOADING], state[c.PEAK_FLOW] = 0.0, 1e3
    arrive, _ = run(
        parts,
        small,
        state,
        np.zeros(2),
        np.zeros(2),
        np.array([0, 1]),
        np.array([1, 1]),
        np.array([0.6, 0.4]),
        until_s=20.0,
        tolerance_m=1e-6,
    )
    assert arrive == pytest.approx(quick, rel=2e-3)


def test_an_animal_that_shoves_a_locked_part_is_held_and_a_relieving_one_gives_way() -> None:
    locked = a_part(LOCKED=1)
    gives = a_part(LOCKED=0)
    yields = a_part(LOCKED=1, PORT_RELIEF=60 * BAR)
    speeds = {}
    for name, part in (("locked", locked), ("relieving", gives), ("port relief", yields)):
        part[c.LOAD] = 52 * BAR * part[c.CAP_AREA] + 6000.0
        speeds[name] = part_velocity(part, a_store(), 0.3, 0.0, 1, 130 * BAR, 0.0, math.inf, 0.01, 0.0, 0.0, 1e-6)[0]
    assert -1e-3 < speeds["locked"] <= 0
    assert speeds["relieving"] < -0.05
    assert speeds["port relief"] < -0.05


@settings(max_examples=300, deadline=None)
@given(st.floats(1e5, 200e5), st.floats(10e5, 80e5), st.floats(1e5, 8e5), st.floats(0.0, 2e-3), st.floats(1.0, 3.0))
def test_reducing_valve_falls_with_flow_and_holds_its_band(
    inlet: float, setting: float, band: float, flow: float, more: float
) -> None:
    """Trap: at no flow it holds setting + band/2, the pressure that limits a squeeze; it never rises with flow."""
    width = through(30, 5)
    at_rest = reduced_pressure(inlet, setting, band, width, 0.0)
    assert at_rest == pytest.approx(min(inlet, setting + band / 2))
    low, high = (
        reduced_pressure(inlet, setting, band, width, flow),
        reduced_pressure(inlet, setting, band, width, flow * more),
    )
    assert high <= low + 1e-3
    assert low <= at_rest + 1e-6
    drop = inlet - low
    if low > setting - band / 2 + 1.0:
        # it throttles: the opening that gives this outlet passes this flow
        opening = (setting + band / 2 - low) / band
        assert width * opening * math.sqrt(max(drop, 0.0)) == pytest.approx(flow, rel=1e-5, abs=1e-9)


@settings(max_examples=150, deadline=None)
@given(
    st.floats(0.02, 0.1),
    st.floats(1.0, 2000.0),
    st.floats(1e3, 5e6),
    st.floats(0.0, 30.0),
    st.floats(0.05, 5.0),
    st.sampled_from([1e-3, 1e-2, 0.1]),
    st.sampled_from([1, -1]),
    st.floats(0.0, 0.6),
    st.floats(-3.0, 3.0),
    st.floats(0.0, 200.0),
)
def test_a_step_cannot_fail(
    bore: float,
    mass: float,
    stiffness: float,
    hose: float,
    width: float,
    step: float,
    way: int,
    place: float,
    speed: float,
    bar: float,
) -> None:
    """Extreme parts, steps and states: the speed is finite and the one that meets the balance."""
    part = a_part(
        CAP_AREA=math.pi * bore**2 / 4,
        ROD_AREA=math.pi * bore**2 * 0.6 / 4,
        MASS=mass,
        HOSE_LENGTH=hose,
        OUT_THROTTLE=width * through(20, 20),
        CONTACT_AT=0.45,
        CONTACT_STIFFNESS=stiffness,
        CONTACT_WAY=1,
    )
    conditions = (place, speed, way, bar * BAR, 0.0, math.inf, step)
    found, soft = part_velocity(part, a_store(), *conditions, speed, 0.0, 1e-7)
    assert math.isfinite(found), (bore, mass, step, way, place, speed)
    assert abs(found) <= 20.0
    assert soft >= 0.0
    again, _ = part_velocity(part, a_store(), *conditions, 0.0, 1e4, 1e-7)
    assert again == pytest.approx(found, rel=1e-4, abs=1e-5), "the root does not depend on where the search begins"
