"""Two lines for `bench/flow.py`, each stated for the kernel and written the way each peer library would write it.

TANDEM: three stations in a row with two places between each, blocking after service; everything all peers can say.
RACE: a pen refilled by a person who also works at the crush, a race in single file with headway, two pieces of work
at once; Ciw cannot say it (no refill by a batch that somebody must fetch, no person shared between places, no
crossing during which an animal takes up two places).
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Generator
from typing import Any

import ciw
import salabim
import simpy

from stockproof.flow.model import Job, Law, Line, Mob, Passage, Person, Task, Zone, constant, exponential, lognormal

__all__ = ["PEERS", "RACE", "TANDEM", "Peer", "race_line", "tandem_line"]

Peer = Callable[[int, int], float]  # (head, seed) -> seconds until the last animal is through
Process = Generator[Any, Any, None]

ENDLESS = 10**9
TANDEM, RACE = "tandem", "race"
STATIONS, BUFFER = 3, 2
GAP_S = 1.5
SERVICE = (1.0, 0.5)
BATCH, RACE_PLACES, PER_HEAD_S = 10, 6, 0.7
#: Mean and coefficient of variation of every time in the race line. [s, 1]
TIMES = {
    "bring": (30.0, 0.3),
    "mouth": (2.0, 0.3),
    "walk": (4.0, 0.3),
    "headway": (1.8, 0.4),
    "into": (1.9, 0.3),
    "inject": (8.0, 0.4),
    "look": (5.0, 0.4),
    "out": (1.6, 0.3),
}


def _law(mean_cv: tuple[float, float]) -> Law:
    return lognormal(*mean_cv)


def _sampler(rng: random.Random, mean_cv: tuple[float, float]) -> Callable[[], float]:
    mean, cv = mean_cv
    sigma = math.sqrt(math.log1p(cv * cv))
    mu, draw = math.log(mean) - sigma * sigma / 2, rng.lognormvariate
    return lambda: draw(mu, sigma)


# The kernel's data


def tandem_line(head: int) -> Line:
    zones, tasks = [Zone("waiting", ENDLESS)], []
    for k in range(STATIONS):
        if k:
            zones.append(Zone(f"buffer {k}", BUFFER))
        zones.append(Zone(f"station {k}", 1))
        tasks.append(Task(f"work {k}", f"station {k}", _law(SERVICE)))
    zones.append(Zone("out", ENDLESS))
    passages = tuple(Passage(a.name, b.name) for a, b in itertools.pairwise(zones))
    return Line(tuple(zones), passages, Mob(head, exponential(GAP_S)), tuple(tasks))


def race_line(head: int) -> Line:
    return Line(
        zones=(
            Zone("yard", ENDLESS),
            Zone("pen", BATCH, headway=_law(TIMES["headway"])),
            Zone("race", RACE_PLACES, transit=_law(TIMES["walk"]), headway=_law(TIMES["headway"])),
            Zone("crush", 1),
            Zone("out", ENDLESS),
        ),
        passages=(
            Passage("pen", "race", crossing=_law(TIMES["mouth"])),
            Passage("race", "crush", crossing=_law(TIMES["into"])),
            Passage("crush", "out", crossing=_law(TIMES["out"])),
        ),
        mob=Mob(head),
        tasks=(
            Task("inject", "crush", _law(TIMES["inject"]), skill="vet"),
            Task("look", "crush", _law(TIMES["look"]), skill="stock"),
        ),
        crew=(Person("first", ("vet",)), Person("second", ("stock",))),
        jobs=(
            Job(
                "bring",
                "bring",
                "pen",
                _law(TIMES["bring"]),
                "stock",
                source="yard",
                batch=constant(BATCH),
                per_head_s=PER_HEAD_S,
            ),
        ),
    )


# SimPy


def simpy_tandem(head: int, seed: int) -> float:
    rng = random.Random(seed)
    env = simpy.Environment()
    service = _sampler(rng, SERVICE)
    between = [simpy.Store(env), *(simpy.Store(env, capacity=BUFFER) for _ in range(STATIONS - 1)), simpy.Store(env)]

    def come() -> Process:
        for animal in range(head):
            yield env.timeout(rng.expovariate(1 / GAP_S))
            yield between[0].put(animal)

    def station(k: int) -> Process:
        for _ in range(head):
            animal = yield between[k].get()
            yield env.timeout(service())
            yield between[k + 1].put(animal)

    env.process(come())
    for k in range(STATIONS):
        last = env.process(station(k))
    env.run(until=last)
    return float(env.now)


def simpy_race(head: int, seed: int) -> float:
    rng = random.Random(seed)
    env = simpy.Environment()
    bring, mouth_s, walk, headway, into, inject, look, out = (_sampler(rng, law) for law in TIMES.values())
    mouth, front, crush, vet = (simpy.Resource(env) for _ in range(4))
    race, stock = simpy.Resource(env, RACE_PLACES), simpy.PriorityResource(env)
    left, free_s, last = {"pen": 0, "yard": head}, {"pen": 0.0, "race": 0.0}, [0.0]

    def fetch() -> Process:
        with stock.request(priority=0) as turn:
            yield turn
            size = min(BATCH, left["yard"])
            yield env.timeout(bring() + size * PER_HEAD_S)
        left["yard"], left["pen"] = left["yard"] - size, left["pen"] + size
        for _ in range(size):
            env.process(animal())

    def work(who: Any, law: Callable[[], float]) -> Process:
        with who.request() as turn:
            yield turn
            yield env.timeout(law())

    def look_at() -> Process:
        with stock.request(priority=1) as turn:
            yield turn
            yield env.timeout(look())

    def animal() -> Process:
        with mouth.request() as turn:
            yield turn
            if free_s["pen"] > env.now:
                yield env.timeout(free_s["pen"] - env.now)
            place = race.request()
            yield place
            yield env.timeout(mouth_s())
            free_s["pen"] = env.now + headway()
            left["pen"] -= 1
            if left["pen"] == 0 and left["yard"]:
                env.process(fetch())
        yield env.timeout(walk())
        with front.request() as turn:
            yield turn
            if free_s["race"] > env.now:
                yield env.timeout(free_s["race"] - env.now)
            held = crush.request()
            yield held
            yield env.timeout(into())
            free_s["race"] = env.now + headway()
            race.release(place)
        yield env.process(work(vet, inject)) & env.process(look_at())
        yield env.timeout(out())
        crush.release(held)
        last[0] = env.now

    env.process(fetch())
    env.run()
    return last[0]


# salabim


def salabim_tandem(head: int, seed: int) -> float:
    salabim.yieldless(False)
    rng = random.Random(seed)
    env = salabim.Environment(trace=False)
    service = _sampler(rng, SERVICE)
    between = [salabim.Store("b", env=env), *(salabim.Store("b", BUFFER, env=env) for _ in range(STATIONS - 1))]
    between.append(salabim.Store("b", env=env))
    left = [0.0]

    class Come(salabim.Component):  # type: ignore[misc]
        def process(self) -> Process:
            for _ in range(head):
                yield self.hold(rng.expovariate(1 / GAP_S))
                yield self.to_store(between[0], salabim.Component("a", env=env))

    class Station(salabim.Component):  # type: ignore[misc]
        def setup(self, k: int) -> None:
            self.k = k

        def process(self) -> Process:
            for _ in range(head):
                animal = yield self.from_store(between[self.k])
                yield self.hold(service())
                left[0] = env.now()
                yield self.to_store(between[self.k + 1], animal)

    Come(env=env)
    for k in range(STATIONS):
        Station(k=k, env=env)
    env.run()
    return left[0]


def salabim_race(head: int, seed: int) -> float:
    salabim.yieldless(False)
    rng = random.Random(seed)
    env = salabim.Environment(trace=False)
    bring, mouth_s, walk, headway, into, inject, look, out = (_sampler(rng, law) for law in TIMES.values())
    mouth, front, crush, vet, stock = (salabim.Resource(name, env=env) for name in ("m", "f", "c", "v", "s"))
    race = salabim.Resource("r", RACE_PLACES, env=env)
    left = {"pen": 0, "yard": head}
    free_s = {"pen": 0.0, "race": 0.0}
    last = [0.0]

    class Fetch(salabim.Component):  # type: ignore[misc]
        def process(self) -> Process:
            yield self.request((stock, 1, 0))
            size = min(BATCH, left["yard"])
            yield self.hold(bring() + size * PER_HEAD_S)
            self.release(stock)
            left["yard"] -= size
            left["pen"] += size
            for _ in range(size):
                Animal(env=env)

    class Work(salabim.Component):  # type: ignore[misc]
        def setup(self, who: Any, law: Callable[[], float], of: Any) -> None:
            self.who, self.law, self.of = who, law, of

        def process(self) -> Process:
            yield self.request((self.who, 1, 1))
            yield self.hold(self.law())
            self.release(self.who)
            self.of.open -= 1
            if self.of.open == 0:
                self.of.activate()

    class Animal(salabim.Component):  # type: ignore[misc]
        def process(self) -> Process:
            yield self.request(mouth)
            if free_s["pen"] > env.now():
                yield self.hold(free_s["pen"] - env.now())
            yield self.request(race)
            yield self.hold(mouth_s())
            free_s["pen"] = env.now() + headway()
            left["pen"] -= 1
            if left["pen"] == 0 and left["yard"]:
                Fetch(env=env)
            self.release(mouth)
            yield self.hold(walk())
            yield self.request(front)
            if free_s["race"] > env.now():
                yield self.hold(free_s["race"] - env.now())
            yield self.request(crush)
            yield self.hold(into())
            free_s["race"] = env.now() + headway()
            self.release(race)
            self.release(front)
            self.open = 2
            Work(who=vet, law=inject, of=self, env=env)
            Work(who=stock, law=look, of=self, env=env)
            yield self.passivate()
            yield self.hold(out())
            self.release(crush)
            last[0] = env.now()

    Fetch(env=env)
    env.run()
    return last[0]


# Ciw


def ciw_tandem(head: int, seed: int) -> float:
    ciw.seed(seed)
    mean, cv = SERVICE
    sigma = math.sqrt(math.log1p(cv * cv))
    mu = math.log(mean) - sigma * sigma / 2
    nodes = range(STATIONS)
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Exponential(1 / GAP_S), *(None for _ in nodes[1:])],
        service_distributions=[ciw.dists.Lognormal(mu, sigma) for _ in nodes],
        number_of_servers=[1 for _ in nodes],
        queue_capacities=[math.inf, *(BUFFER for _ in nodes[1:])],
        routing=[[1.0 if b == a + 1 else 0.0 for b in nodes] for a in nodes],
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_customers(head, method="Finish")
    return float(max(record.exit_date for record in simulation.get_all_records()))


PEERS: dict[str, dict[str, Peer]] = {
    TANDEM: {"SimPy": simpy_tandem, "Ciw": ciw_tandem, "salabim": salabim_tandem},
    RACE: {"SimPy": simpy_race, "salabim": salabim_race},
}
