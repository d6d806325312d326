"""The production kernel against queueing theory, exact recursions, SimPy and Ciw.

Every line here is ordinary model data run by the same compiled loop as a yard: zones with places, tasks with or
without people. Statistical checks ask for |z| < 4 against the exact value.

Sources: M/M/1, M/G/1 (Pollaczek 1930, Khinchine 1932) and M/M/c (Erlang 1917) as in any text, e.g. L. Kleinrock,
Queueing Systems 1, 1975, ch. 3 and 5. Saturated lines with blocking after service: G. C. Hunt, "Sequential arrays of
waiting lines", Operations Research 4 (1956) 674-683; F. S. Hillier, R. N. Boling, "Finite queues in series with
exponential or Erlang service times", Operations Research 15 (1967) 286-303; the values were recomputed from the
continuous-time Markov chain. J. D. C. Little, "A proof for the queuing formula L = lambda W", Operations Research 9
(1961) 383-387.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Generator
from typing import Any

import ciw
import numpy as np
import numpy.typing as npt
import pytest
import simpy

from stockproof.flow.model import (
    Law,
    Line,
    Mob,
    Passage,
    Person,
    Task,
    Zone,
    constant,
    erlang,
    exponential,
    gamma,
    lognormal,
    normal,
    uniform_between,
)
from stockproof.flow.run import FlowResult, simulate
from stockproof.flow.tables import BEGAN_IN, DONE_IN, IN, LEFT

Floats = npt.NDArray[np.float64]
ENDLESS = 10**9


def queue(head: int, arrivals: Law, service: Law, people: int = 1) -> Line:
    """One waiting line before so many people who all do the same."""
    return Line(
        zones=(Zone("waiting", ENDLESS), Zone("station", people, single_file=False), Zone("out", ENDLESS)),
        passages=(Passage("waiting", "station"), Passage("station", "out")),
        mob=Mob(head, arrivals),
        tasks=(Task("serve", "station", service, skill="serve"),),
        crew=tuple(Person(f"person {k}", ("serve",)) for k in range(people)),
    )


def saturated(head: int, services: tuple[Law, ...], buffer: int = 0) -> Line:
    """Stations in a row with so many places between each two; the first never starves."""
    zones, tasks = [Zone("stock", ENDLESS)], []
    for k, law in enumerate(services):
        if k and buffer:
            zones.append(Zone(f"buffer {k}", buffer))
        zones.append(Zone(f"station {k}", 1))
        tasks.append(Task(f"work {k}", f"station {k}", law))
    zones.append(Zone("out", ENDLESS))
    passages = tuple(Passage(a.name, b.name) for a, b in itertools.pairwise(zones))
    return Line(tuple(zones), passages, Mob(head), tuple(tasks))


def waits(result: FlowResult, warm_up: int) -> Floats:
    """Mean wait of each replication, the first animals left out."""
    times = result.times[:, warm_up:]
    return np.asarray((times[:, :, 1, BEGAN_IN] - times[:, :, 0, IN]).mean(axis=1))


def throughputs(result: FlowResult, warm_up: int) -> Floats:
    """Animals a second that leave the last station in each replication."""
    left = result.times[:, :, -2, LEFT]
    return np.asarray((left.shape[1] - 1 - warm_up) / (left[:, -1] - left[:, warm_up]))


def z_score(values: Floats, exact: float) -> float:
    return float((values.mean() - exact) / (values.std(ddof=1) / math.sqrt(values.size)))


@pytest.mark.parametrize(
    ("load", "service", "exact"),
    [
        (0.5, exponential(1.0), 1.0),
        (0.8, exponential(1.0), 4.0),
        (0.5, constant(1.0), 0.5),
        (0.8, constant(1.0), 2.0),
        (0.8, erlang(1.0, 2), 3.0),
        (0.8, gamma(1.0, 0.5), 2.5),
        (0.8, lognormal(1.0, 0.5), 2.5),
    ],
)
def test_mean_wait_of_one_server(load: float, service: Law, exact: float) -> None:
    # M/M/1 and M/G/1: Wq = r (1 + cv^2) / (2 (1 - r)), mean service 1
    assert exact == pytest.approx(load * (1 + service.cv**2) / (2 * (1 - load)))
    result = simulate(queue(22_000, exponential(1 / load), service), seed=11, replications=30)
    assert abs(z_score(waits(result, 2_000), exact)) < 4


@pytest.mark.parametrize(
    ("people", "load", "exact"),
    [(2, 1.5, 1.928571), (3, 2.0, 0.888889), (3, 2.4, 2.588764), (4, 3.0, 1.528302), (10, 8.0, 1.636721)],
)
def test_mean_queue_of_several_people(people: int, load: float, exact: float) -> None:
    # Lq of M/M/c by Erlang's C formula; by Little, Lq = arrival rate * mean wait
    result = simulate(queue(12_000, exponential(1 / load), exponential(1.0), people), seed=12, replications=30)
    assert abs(z_score(load * waits(result, 2_000), exact)) < 4


LOGNORMAL_SIGMA = math.sqrt(math.log1p(0.25))


@pytest.mark.parametrize(
    ("services", "buffer", "exact"),
    [
        ((exponential(1.0),) * 2, 0, 2 / 3),
        ((exponential(1.0),) * 2, 1, 3 / 4),
        ((exponential(1.0),) * 2, 4, 6 / 7),
        ((exponential(1.0), exponential(0.5)), 0, 0.857143),
        ((erlang(1.0, 2),) * 2, 0, 0.727273),
        ((erlang(1.0, 4),) * 2, 0, 0.785276),
        ((uniform_between(0.0, 2.0),) * 2, 0, 0.75),
        ((lognormal(1.0, 0.5),) * 2, 0, 0.792620),
        ((normal(1.0, 0.3),) * 2, 0, 0.855244),
        ((exponential(1.0),) * 3, 0, 22 / 39),
        ((exponential(1.0),) * 3, 1, 0.670466),
        ((exponential(1.0),) * 3, 3, 0.776712),
        ((exponential(1.0),) * 6, 0, 0.466713),
        ((exponential(1.086), exponential(0.828), exponential(1.086)), 0, 0.567182),
    ],
)
def test_saturated_line_with_blocking(services: tuple[Law, ...], buffer: int, exact: float) -> None:
    # two stations, any law, no buffer: 1 / E[max(S1, S2)]; Hunt 1956 and Hillier & Boling 1967 for the others
    result = simulate(saturated(6_000, services, buffer), seed=13, replications=24)
    assert abs(z_score(throughputs(result, 500), exact)) < 4


def test_two_stations_follow_the_recursion_animal_by_animal() -> None:
    # departures of a line without buffers: D0 = max(D0' + S0, D1'), D1 = max(D0 + S1, D2'), D2 = D1 + S2
    line = saturated(500, (lognormal(1.0, 0.7), erlang(1.1, 2), gamma(0.9, 0.6)))
    result = simulate(line, seed=14, replications=3)
    stations = [result.names.zones.index(f"station {k}") for k in range(3)]
    for times in result.times:
        service = [times[:, z, DONE_IN] - times[:, z, IN] for z in stations]
        before = np.zeros(3)
        for animal in range(line.mob.head):
            s0, s1, s2 = (float(values[animal]) for values in service)
            d0 = max(before[0] + s0, before[1])
            d1 = max(d0 + s1, before[2])
            before = np.array([d0, d1, d1 + s2])
            np.testing.assert_allclose(times[animal, stations, LEFT], before, rtol=1e-12)


def test_littles_law_holds_on_every_sample_path() -> None:
    # over a span that begins and ends empty, the time-mean number present is the rate times the mean stay, exactly
    result = simulate(queue(4_000, exponential(1.25), exponential(1.0)), seed=15, replications=4)
    for times in result.times:
        came, went = times[:, 0, IN], times[:, 1, LEFT]
        moments = np.concatenate([came, went])
        step = np.concatenate([np.ones_like(came), -np.ones_like(went)])
        order = np.argsort(moments, kind="stable")
        present, span = np.cumsum(step[order]), np.diff(moments[order])
        length = moments.max() - moments.min()
        number = float((present[:-1] * span).sum() / length)
        assert number == pytest.approx(came.size / length * float((went - came).mean()), rel=1e-9)


def simpy_throughput(seed: int, head: int, race: int) -> float:
    """The line of `test_simpy_and_ciw_agree` written the way SimPy writes it."""
    rng = np.random.default_rng(seed)
    env = simpy.Environment()
    buffer = simpy.Store(env, capacity=race)
    left: list[float] = []

    def first() -> Generator[Any, Any, None]:
        for animal in range(head):
            yield env.timeout(rng.exponential(1.0))
            yield buffer.put(animal)

    def second() -> Generator[Any, Any, None]:
        for _ in range(head):
            yield buffer.get()
            yield env.timeout(rng.exponential(1.0))
            left.append(env.now)

    env.process(first())
    env.process(second())
    env.run()
    return (head - 101) / (left[-1] - left[100])


def test_simpy_agrees_on_a_line_with_a_race() -> None:
    ours = throughputs(simulate(saturated(4_000, (exponential(1.0),) * 2, 3), seed=16, replications=12), 100)
    theirs = np.array([simpy_throughput(seed, 4_000, 3) for seed in range(12)])
    gap = ours.mean() - theirs.mean()
    assert abs(gap) < 4 * math.sqrt(ours.var(ddof=1) / 12 + theirs.var(ddof=1) / 12)


def ciw_waits(seed: int, head: int, people: int, load: float) -> float:
    ciw.seed(seed)
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Exponential(load)],
        service_distributions=[ciw.dists.Exponential(1.0)],
        number_of_servers=[people],
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_customers(head, method="Finish")
    records = sorted(simulation.get_all_records(), key=lambda record: float(record.arrival_date))
    return float(np.mean([record.waiting_time for record in records[200:]]))


def test_ciw_agrees_on_three_people() -> None:
    ours = waits(simulate(queue(3_000, exponential(1 / 2.4), exponential(1.0), 3), seed=17, replications=12), 200)
    theirs = np.array([ciw_waits(seed, 3_000, 3, 2.4) for seed in range(6)])
    gap = ours.mean() - theirs.mean()
    assert abs(gap) < 4 * math.sqrt(ours.var(ddof=1) / 12 + theirs.var(ddof=1) / 6)
