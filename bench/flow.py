"""How fast stock flow is: head per second on one core against SimPy, Ciw and salabim on the same line, in one run.

Claim: at least 200 times SimPy running the same logic, 1.8 times that on two cores, and nothing compiled when the
build changes. `tandem` is all that Ciw can say; `race` (people, batches, headway) is written by hand for each peer as
its manual would; two powered rigs and a programme of an example brief have their control netlist in the loop, in SimPy
by the programs that the tests hold equal to the kernel event by event. Rates are per second of processor time, so that
a shared machine does not blur them; two cores and starting up are wall time too. About two minutes in all.

    python bench/flow.py [--no-cold]
"""

from __future__ import annotations

import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numba
import numpy as np
from numba.core import event as numba_events

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))


from peers.flow_in_simpy import SimpyLine, node_by_node
from peers.flow_lines import PEERS, RACE, TANDEM, race_line, tandem_line
from peers.python_scan import scan_by_name, scan_in_place

from stockproof.brief import read_brief
from stockproof.catalogue import read_catalogue
from stockproof.catalogue.line import plant_of as line_plant
from stockproof.flow import prepare, tables
from stockproof.flow.kernel import run_replications
from stockproof.flow.model import Line
from stockproof.flow.run import FlowResult, settled_rows, simulate
from stockproof.flow.translate import program_of, translate
from stockproof.installation import install
from stockproof.logic import assemble, lower
from stockproof.logic.installed import devices_of as built_devices
from stockproof.logic.rig import MAXIMAL, SMALL, Rig, devices_of, plant_of
from stockproof.netlist.kernel import fresh, scan
from stockproof.netlist.model import Netlist
from tests.flow import oracle_control
from tests.flow.conftest import small_line
from tests.flow.oracle import Yard
from tests.flow.oracle_lines import Powered, powered
from tests.flow.test_same_path import laws_of

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
HEAD, RIG_HEAD = 200, 40
#: Processor time for one measurement, of the kernel and of a peer. [s]
KERNEL_S, PEER_S = 0.15, 1.5
COLD_LIMIT_S = 150.0
LINES = {TANDEM: tandem_line, RACE: race_line}
BUILDS = (
    SMALL,
    MAXIMAL,
    Rig(hold=False),
    Rig(parts=("entry", "bail", "squeeze")),
    Rig(parts=("entry", "bail", "lift")),
)
FIRST_CALL = """
import time
start = time.perf_counter()
import numba, numpy
from stockproof.flow.model import Line, Mob, Passage, Zone
from stockproof.flow.run import simulate
imported = time.perf_counter()
line = Line((Zone("a", 9), Zone("b", 9)), (Passage("a", "b"),), Mob(3))
simulate(line, seed=1, replications=1)
first = time.perf_counter()
simulate(line, seed=1, replications=1)
print(imported - start, first - imported, time.perf_counter() - first)
"""


def run_line(run: Line | Powered, replications: int, workers: int = 1) -> FlowResult:
    """The kernel on a line; one worker is the calling thread itself."""
    if isinstance(run, Line):
        return simulate(run, seed=5, replications=replications, workers=workers)
    return simulate(run.line, run.netlist, run.plant, run.laws, seed=5, replications=replications, workers=workers)


def head_per_cpu_s(run: Line | Powered, head: int) -> tuple[float, FlowResult]:
    """The kernel's rate on one thread, best of five."""
    replications, spent = 128, 0.0
    while spent < KERNEL_S:
        replications *= 2
        start = time.thread_time()
        result = run_line(run, replications)
        spent = time.thread_time() - start
    for _ in range(4):
        start = time.thread_time()
        run_line(run, replications)
        spent = min(spent, time.thread_time() - start)
    return head * replications / spent, result


def peer_rate(peer: Callable[[int, int], float], head: int) -> tuple[float, list[float]]:
    """A peer's rate, best of its runs, and how long the line took in each."""
    spans, times = [], []
    while sum(times) < PEER_S or len(times) < 3:
        start = time.thread_time()
        spans.append(peer(head, len(spans)))
        times.append(time.thread_time() - start)
    return head / min(times), spans


def against_peers(name: str) -> None:
    """A line without powered parts in every library that can say it."""
    ours, result = head_per_cpu_s(LINES[name](HEAD), HEAD)
    events = result.worlds["events"].sum() / (HEAD * result.replications)
    print(f"\n{name}: {HEAD} head a run, {events:.1f} events a head")
    print(f"  {'kernel':8} {ours:12,.0f} head/s {1e9 / ours / events:8.1f} ns/event")
    for library in ("SimPy", "Ciw", "salabim"):
        if library not in PEERS[name]:
            print(f"  {library:8} cannot say it: no batch that a person fetches, no shared person, no crossing")
            continue
        rate, spans = peer_rate(PEERS[name][library], HEAD)
        print(f"  {library:8} {rate:12,.0f} head/s   kernel {ours / rate:7.0f} times; {same_line(result, spans)}")


def same_line(result: FlowResult, spans: list[float]) -> str:
    """Whether two programs ran one line: the difference of mean spans in its standard errors."""
    mine, theirs = np.nanmax(result.times[:, :, -2, :], axis=(1, 2)), np.array(spans)
    error = np.sqrt(mine.var(ddof=1) / mine.size + theirs.var(ddof=1) / theirs.size)
    return f"mean span {mine.mean():.0f} s and {theirs.mean():.0f} s, z = {(mine.mean() - theirs.mean()) / error:+.1f}"


def same_logic() -> None:
    """Powered lines with their netlist in the loop, each against SimPy with its logic read two ways."""
    small = Powered(small_line(RIG_HEAD), lower(assemble(devices_of(SMALL))), plant_of(SMALL))
    tell_rig("small rig, written by hand for SimPy", small, RIG_HEAD, lean_rate)
    tell_rig("largest rig, in SimPy as any line", powered(MAXIMAL, RIG_HEAD), RIG_HEAD, oracle_rate)
    line = example("hill", "drench and vaccinate weaners")
    tell_rig("a programme of the hill brief, in SimPy as any line", line, line.line.mob.head, oracle_rate)


def tell_rig(what: str, rig: Powered, head: int, peer: Callable[[Powered, int, bool], float]) -> None:
    """The kernel's rate on a powered line, what bounds it, and how many times it is the peer's."""
    ours, result = head_per_cpu_s(rig, head)
    heads = head * result.replications
    events, rounds, scans = (result.worlds[name].sum() / heads for name in ("events", "rounds", "scans"))
    print(f"\n{what}: {len(rig.netlist)} logic nodes; runs ended {', '.join(sorted(set(result.endings)))}")
    print(f"  a head takes {events:.1f} events, {rounds:.1f} rounds of consequences, {scans:.1f} scans of the logic")
    print(f"  {'kernel':8} {ours:12,.0f} head/s {1e9 / ours / events:8.1f} ns/event")
    met, times = situations(rig)
    scan_s = seconds_of_scan(rig.netlist)
    print(f"  bound: {met} situations of the logic are met and each is scanned once ({scan_s * 1e9:.0f} ns a scan);")
    print(
        f"  with every one scanned anew a run takes {times:.1f} times as long. What is left is to look, in each round,"
    )
    print("  which facts have turned and which animals and people may therefore act, and the oil of each motion")
    for generated, how in ((False, "logic read node by node"), (True, "logic as one Python function")):
        rate = peer(rig, head, generated)
        print(f"  {'SimPy':8} {rate:12,.1f} head/s   kernel {ours / rate:7.0f} times; {how}")


def situations(rig: Powered) -> tuple[int, float]:
    """How many situations of the logic some runs meet, and how many times as long they take with no table of them."""
    model, program = translate(rig.line, rig.netlist, rig.plant, 1e9), program_of(rig.netlist, rig.plant, rig.laws)
    anew_s, _ = seconds_of_runs(model, program.copy())
    model["rows"] = settled_rows(model)
    took_s, met = seconds_of_runs(model, program.copy())
    return met, anew_s / took_s


def seconds_of_runs(model: Any, program: Any, replications: int = 16) -> tuple[float, int]:
    """Time of some runs of the kernel itself, and the situations in its table after them."""
    best = np.inf
    for _ in range(3):
        worlds, kept = fresh_worlds(model, replications)
        start = time.thread_time()
        run_replications(model, worlds, program)
        best = min(best, time.thread_time() - start)
        del kept
    return float(best), int(program[0]["memo_used"])


def fresh_worlds(model: Any, replications: int) -> tuple[Any, tuple[Any, Any]]:
    """Worlds before their first second, with arrays of their own to write to."""
    worlds = np.zeros(replications, tables.WORLD)
    worlds["seed"], worlds["replication"] = 5, np.arange(replications)
    head, zones = int(model[0]["head"]), int(model[0]["zones"])
    herd, times = np.zeros((replications, head), tables.ANIMAL), np.zeros((replications, head, zones, 4))
    worlds["animal_bytes"] = herd.itemsize
    for column, array in (("herd_at", herd), ("times_at", times)):
        worlds[column] = array.ctypes.data + np.arange(replications) * array.strides[0]
    return worlds, (herd, times)


def example(name: str, programme: str) -> Powered:
    """A programme of one of the invented briefs, with the logic of its build."""
    brief = read_brief(EXAMPLES / name / "brief.toml")
    catalogue = read_catalogue(EXAMPLES / "firm" / "catalogue.toml")
    installation = install(brief, catalogue)
    items = [chosen.item for chosen in installation.build]
    plant, netlist = line_plant(items, catalogue, 12, 7), lower(assemble(built_devices(items, catalogue)))
    return Powered(prepare(installation, brief.programmes[programme], netlist, plant), netlist, plant)


def lean_rate(rig: Powered, head: int, generated: bool) -> float:
    """SimPy by a program for this one line, its draws by the standard library."""
    rng, laws = random.Random(5), laws_of(rig.line)

    def drawn(purpose: str, animal: int, ordinal: int) -> float:
        return rng.lognormvariate(laws[purpose].a, laws[purpose].b)

    best = np.inf
    for _ in range(3):
        model = SimpyLine(rig.line, rig.netlist, rig.plant, drawn, head, scan_in_place if generated else node_by_node)
        start = time.thread_time()
        model.run()
        best = min(best, time.thread_time() - start)
    return float(head / best)


def oracle_rate(rig: Powered, head: int, generated: bool) -> float:
    """SimPy by the program that runs any line, over so many head as tell the rate."""
    line = replace(rig.line, mob=replace(rig.line.mob, head=min(head, RIG_HEAD)))
    plain = oracle_control.evaluate_scan
    if generated:
        written = {id(net): scan_by_name(net) for net in (rig.netlist, rig.plant.truth)}
        oracle_control.evaluate_scan = lambda net, inputs, memory: written[id(net)](inputs, memory)
    best = np.inf
    for replication in range(2):
        yard = Yard(line, rig.netlist, rig.plant, rig.laws, seed=5, replication=replication)
        start = time.thread_time()
        yard.run()
        best = min(best, time.thread_time() - start)
    oracle_control.evaluate_scan = plain
    return float(line.mob.head / best)


def seconds_of_scan(netlist: Netlist) -> float:
    """Time of one compiled scan, the call from Python taken off."""
    values, calls = fresh(netlist), 2_000

    def take(nodes: int) -> float:
        op, a, b = netlist.op[:nodes], netlist.a[:nodes], netlist.b[:nodes]
        best = np.inf
        for _ in range(5):
            start = time.thread_time()
            for _ in range(calls):
                scan(op, a, b, values)
            best = min(best, time.thread_time() - start)
        return float(best / calls)

    return max(0.0, take(len(netlist)) - take(0))


def scaling() -> None:
    """More replications on one thread, and the same on one and two threads in turns; wall and processor time."""
    rig = powered(MAXIMAL, RIG_HEAD)
    print(f"\nhead a second of processor time by the number of runs of {RIG_HEAD} head:", end=" ")
    for replications in (1, 8, 64, 512):
        spent = np.inf
        for _ in range(3):
            start = time.thread_time()
            run_line(rig, replications)
            spent = min(spent, time.thread_time() - start)
        print(f"{replications}: {RIG_HEAD * replications / spent:,.0f}", end="  ")
    replications = 8 * max(2, round(0.05 * head_per_cpu_s(rig, RIG_HEAD)[0] / RIG_HEAD))
    wall: dict[int, float] = {1: np.inf, 2: np.inf}
    cpu: dict[int, float] = {1: np.inf, 2: np.inf}
    for _ in range(7):
        for workers in (1, 2):
            begun, spent = time.perf_counter(), time.process_time()
            run_line(rig, replications, workers)
            wall[workers] = min(wall[workers], time.perf_counter() - begun)
            cpu[workers] = min(cpu[workers], time.process_time() - spent)
    load = os.getloadavg()[0]
    lost = lost_by_the_machine()
    print(f"\ntwo cores of {os.cpu_count()}: {wall[1] / wall[2]:.2f} times one by the wall clock (best of 7 each)")
    print(f"  the same work takes {cpu[2] / cpu[1]:.2f} times the processor time (1: nothing is lost to sharing);")
    print(
        f"  a loop that keeps to its registers takes {lost:.2f} times as long beside another: that is the machine's own"
    )
    print(f"  load average {load:.1f}" + (": other programs ran, so the wall says too little" if load > 2.5 else ""))


@numba.njit(nogil=True)
def registers_only(turns: int) -> int:
    """Congruential numbers, four rows at once so that the multiplier never idles: work that shares no memory."""
    a, b, c, d = 1, 2, 3, 4
    for _ in range(turns):
        a = (a * 1103515245 + 12345) & 0x7FFFFFFF
        b = (b * 1103515245 + 12345) & 0x7FFFFFFF
        c = (c * 1103515245 + 12345) & 0x7FFFFFFF
        d = (d * 1103515245 + 12345) & 0x7FFFFFFF
    return a ^ b ^ c ^ d


def lost_by_the_machine(turns: int = 40_000_000) -> float:
    """Processor time of a loop beside another on the other core over its time alone; above 1 the cores share parts."""

    def spent(_: int) -> float:
        start = time.thread_time()
        registers_only(turns)
        return time.thread_time() - start

    registers_only(1)
    alone = min(spent(0) for _ in range(5))
    with ThreadPoolExecutor(2) as pool:
        beside = min(max(pool.map(spent, range(2))) for _ in range(5))
    return beside / alone


def nothing_compiled() -> None:
    """Plain lines and builds one after the other: how often the compiler ran."""
    runs: list[Line | Powered] = [tandem_line(20), race_line(20)]
    runs += [powered(rig, 5, store=store) for rig in BUILDS for store in (False, True)]
    run_line(runs[0], 1)
    recorder = numba_events.RecordingListener()
    numba_events.register("numba:compile", recorder)
    for run in runs:
        run_line(run, 1)
    numba_events.unregister("numba:compile", recorder)
    print(f"\n{len(runs)} lines of {len(BUILDS)} builds: {len(recorder.buffer)} compilations,", end=" ")
    print(f"{len(run_replications.signatures)} signature of the kernel")


def start_up(label: str, cache: str | None) -> None:
    """Seconds to the first result in a new process."""
    environment = dict(os.environ) | ({"NUMBA_CACHE_DIR": cache} if cache else {})
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    command = [sys.executable, "-c", FIRST_CALL]
    try:
        done = subprocess.run(
            command, env=environment, capture_output=True, text=True, timeout=COLD_LIMIT_S, check=True
        )
        imports, first, second = (float(word) for word in done.stdout.split())
        told = f"imports {imports:.2f} s, first call {first:.2f} s, next {second * 1e3:.1f} ms"
    except subprocess.TimeoutExpired:
        told = f"not ready after {time.perf_counter() - begun:.0f} s, stopped"
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(f"  {label}: {told}; processor time {spent:.1f} s")


def main() -> None:
    packages = ("numba", "numpy", "simpy", "ciw", "salabim")
    print(", ".join([f"Python {sys.version.split()[0]}", *(f"{name} {version(name)}" for name in packages)]))
    for name in LINES:
        against_peers(name)
    same_logic()
    scaling()
    nothing_compiled()
    print("\nstarting up, in a process of its own")
    start_up("kernel cached", None)
    if "--no-cold" not in sys.argv:
        with tempfile.TemporaryDirectory() as cache:
            start_up("empty cache", cache)


if __name__ == "__main__":
    main()
