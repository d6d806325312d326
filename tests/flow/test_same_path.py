"""On shared draws a SimPy model with a plain Python scan of the netlist takes the same path, event by event."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from typing import Any

import numba
import numpy as np

from stockproof.flow import draws
from stockproof.flow.model import Law, Line
from stockproof.flow.run import simulate
from stockproof.flow.tables import BEGAN_IN, DONE_IN, IN, LAW, LEFT
from stockproof.flow.translate import law_record

from .conftest import Small

_draw = draws.draw


def load_bench(name: str) -> Any:
    """A module of the bench folder."""
    path = Path(__file__).parents[2] / "bench" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@numba.njit  # type: ignore[untyped-decorator]
def _one(laws: Any, pool: Any, seed: int, replication: int, animal: int, purpose: int, ordinal: int) -> Any:
    return _draw(laws[0], pool, seed, replication, animal, purpose, ordinal)


def laws_of(line: Line) -> dict[str, Law]:
    """Every law the SimPy model asks for, by its purpose."""
    return (
        {f"crossing: {p.out_of} > {p.into}": p.crossing for p in line.passages}
        | {f"headway: {z.name}": z.headway for z in line.zones}
        | {f"transit: {z.name}": z.transit for z in line.zones}
        | {f"task: {t.name}": t.law for t in line.tasks}
        | {f"press: {p.name}": p.reaction for p in line.presses}
        | {"pace": line.mob.pace}
    )


def drawn_for(line: Line, seed: int, replication: int) -> Any:
    """The kernel's keyed draws as a function for the SimPy model."""
    records = {}
    for purpose, law in laws_of(line).items():
        pool = [0.0]
        records[purpose] = (np.array([law_record(law, purpose, [""], pool)], LAW), np.array(pool))

    def drawn(purpose: str, animal: int, ordinal: int) -> float:
        laws, pool = records[purpose]
        return float(_one(laws, pool, seed, replication, animal + 1, int(laws["purpose"][0]), ordinal))

    return drawn


def test_simpy_takes_the_same_path_event_by_event(small: Small) -> None:
    bench = load_bench("peers/flow_in_simpy")
    result = simulate(small.line, small.netlist, small.plant, seed=2025, replications=3)
    assert set(result.endings) == {"all through"}
    for replication in range(3):
        head = small.line.mob.head
        theirs = bench.SimpyLine(small.line, small.netlist, small.plant, drawn_for(small.line, 2025, replication), head)
        end_s = theirs.run()
        assert abs(end_s - result.worlds["now"][replication]) < 1e-6
        ours = result.times[replication]
        columns = {"began": BEGAN_IN, "in": IN, "done": DONE_IN, "left": LEFT}
        for (animal, zone, what), time_s in theirs.times.items():
            z = result.names.zones.index(zone)
            assert abs(ours[animal, z, columns[what]] - time_s) < 1e-6, (animal, zone, what)
        assert len(theirs.times) == head * 8
