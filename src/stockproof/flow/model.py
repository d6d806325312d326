"""What the flow room is told: a line of zones, the work, the crew, the mob and the day, as frozen data.

Nothing here is computed; `tables.py` turns a `Line` into the arrays the one compiled kernel reads. A line needs
no powered part: a plain queue is a line of two zones, one task and a person.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from stockproof.flow.law import (
    Law,
    constant,
    empirical,
    erlang,
    exponential,
    gamma,
    lognormal,
    normal,
    uniform_between,
)

__all__ = [
    "Balk",
    "Break",
    "Catch",
    "Job",
    "Law",
    "Line",
    "Mob",
    "Passage",
    "Person",
    "Press",
    "Seen",
    "Task",
    "Uncertain",
    "Zone",
    "constant",
    "empirical",
    "erlang",
    "exponential",
    "gamma",
    "lognormal",
    "normal",
    "seen",
    "uniform_between",
]


#: Laws where nothing else is said: no time, times one, and how long after it was caught an animal goes down. [s, 1, s]
NO_TIME, ONCE, A_WHILE = constant(0.0), constant(1.0), constant(5.0)


@dataclass(frozen=True, slots=True)
class Seen:
    """One plain condition that can be seen to be so or not: what, of which zone, part or signal.

    `what` is one of `tables.FACTS`; `~seen(...)` is its denial.
    """

    what: str
    of: str
    so: bool = True

    def __invert__(self) -> Seen:
        return replace(self, so=not self.so)


def seen(what: str, of: str) -> Seen:
    """A plain condition: `seen("open", "bail")`, `~seen("occupied", "crush")`."""
    return Seen(what, of)


@dataclass(frozen=True, slots=True)
class Catch:
    """How a bail catches in a zone: distances from the entry plane and along the animal, and where the bail must be.

    The nose starts at the entry plane, the bail stands `length_m` on. The catch is begun (the sensor shows the
    head) `sensor_m` before the bail, or past it where negative; the neck lies in the bail from the moment the poll
    has passed (`head_m` behind the nose) until the shoulder arrives (`neck_m` later). `head_at` is the share of
    opening a head needs; at `neck_at` or less a shoulder cannot follow. Where `lead_s` is set, a person who watches
    the animal begins the catch so long before the middle of its neck is in the bail, whatever its pace.
    """

    part: str
    length_m: float
    sensor_m: float
    head_m: float
    neck_m: float
    body_m: float
    head_at: float = 0.5
    neck_at: float = 0.25
    lead_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Zone:
    """A piece of the line that holds so many animals.

    Parameters
    ----------
    places : int
        How many animals it holds.
    single_file : bool
        Only the front animal may leave.
    transit : Law
        Time from standing in the zone to being at its front. [s]
    headway : Law
        Time to close up to the front when the animal before has left. [s]
    waits_for_work : bool
        An animal stays until its tasks here are done (False where only a bail holds it).
    catch : Catch or None
        Set where a bail catches.
    squeeze : str
        A part that keeps the animal while it is not fully open.
    nominal : int
        Fill at which animals still flow freely; `crowding` is the slowing of each crossing out per share above it.
    stragglers : int
        The last so many of a batch walk `straggling` times slower.
    work_zone : bool
        Its time is booked by what it waits for; it is cleared before a break.
    """

    name: str
    places: int
    single_file: bool = True
    transit: Law = NO_TIME
    headway: Law = NO_TIME
    waits_for_work: bool = True
    catch: Catch | None = None
    squeeze: str = ""
    nominal: int = 0
    crowding: float = 0.0
    stragglers: int = 0
    straggling: float = 1.0
    work_zone: bool = False


@dataclass(frozen=True, slots=True)
class Balk:
    """How animals balk at a passage.

    Parameters
    ----------
    share : float
        Share of animals that balk, over all days.
    wait : Law
        How long one stands when nobody helps. [s]
    follow_share : float
        The share is multiplied by this where the animal can follow another (see `Passage.follow_s`).
    refuse_after : int
        So many balks make a refuser; 0: an animal balks once and then goes.
    """

    share: float
    wait: Law
    follow_share: float = 1.0
    refuse_after: int = 0


@dataclass(frozen=True, slots=True)
class Passage:
    """A way out of one zone into the next.

    Parameters
    ----------
    crossing : Law
        From the nose at the plane to the tail through it. [s]
    needs : tuple of Seen
        What must be so besides a free place and the gates the plant puts on this way.
    way : int
        Draft way that takes it, 0 where all do.
    follow_s, following : float
        Within so long of the one before, crossing takes `following` times as long.
    paced : bool
        The animal's own pace scales the crossing.
    """

    out_of: str
    into: str
    crossing: Law = NO_TIME
    needs: tuple[Seen, ...] = ()
    way: int = 0
    balk: Balk | None = None
    follow_s: float = 0.0
    following: float = 1.0
    paced: bool = False


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work on each animal.

    Parameters
    ----------
    zone, place, space : str
        In which zone the animal stands, at which place the person, and in which space of the plant they are (empty:
        beside the line).
    skill : str
        What the person must be able to do; empty for work no person does (a weight settling, a tag read).
    needs : tuple of Seen
        Restraint and whatever else must be so to begin.
    not_with, after : tuple of str
        Tasks that may not go on at the same time on the animal; tasks that must be done before.
    share : float
        Share of animals that need it.
    held : bool
        The animal must be held for it.
    gate_s : float
        Opening, and again shutting, the access gate by hand. [s]
    reload_every : int
        After so many animals the person reloads, which takes `reload`. [s]
    role : str
        `weigh`, `read` or `decide`: what the plant's truths `settled`, `read` and `decided` go by.
    """

    name: str
    zone: str
    law: Law
    skill: str = ""
    place: str = ""
    space: str = ""
    needs: tuple[Seen, ...] = ()
    not_with: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    share: float = 1.0
    held: bool = False
    gate_s: float = 0.0
    reload_every: int = 0
    reload: Law = NO_TIME
    priority: int = 50
    role: str = ""


@dataclass(frozen=True, slots=True)
class Person:
    """One of the crew: skills, where they start, where they may stand (empty: anywhere)."""

    name: str
    skills: tuple[str, ...]
    home: str = ""
    stands: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Press:
    """The operator's habit: which control is pressed, when, from where, how soon and for how long.

    `until` empty is a short press of `press_s`; otherwise the control is held until that is so, `longest_s` at most.
    Where `part` is set no control is pressed: the person moves that part by hand to `to` in `press_s`.
    """

    name: str
    control: str
    when: tuple[Seen, ...]
    skill: str
    place: str = ""
    reaction: Law = NO_TIME
    press_s: float = 0.3
    until: tuple[Seen, ...] = ()
    again_s: float = 1.0
    longest_s: float = 8.0
    priority: int = 10
    part: str = ""
    to: float = 1.0


@dataclass(frozen=True, slots=True)
class Job:
    """Work that is not one of the tasks on an animal.

    Parameters
    ----------
    kind : str
        `bring` a batch from `source`; `empty` the pen; `push` one that balks; `attend` one that is down;
        `lead_round` a refuser to the end zone `source`.
    law, per_head_s : Law, float
        Time at the place, and for each animal brought or walked away. [s]
    at_most : int
        `bring`: start at so many left in the zone; `empty`: start at so many in the pen.
    """

    name: str
    kind: str
    zone: str
    law: Law
    skill: str
    source: str = ""
    start_place: str = ""
    end_place: str = ""
    when: tuple[Seen, ...] = ()
    at_most: int = 0
    batch: Law = ONCE
    per_head_s: float = 0.0
    priority: int = 30


@dataclass(frozen=True, slots=True)
class Break:
    """A pause of the whole crew; it begins when the animals held have been let go."""

    start_s: float
    length_s: float


@dataclass(frozen=True, slots=True)
class Uncertain:
    """A factor on laws (see `Law.factor`) that is drawn once for every replication."""

    name: str
    law: Law


@dataclass(frozen=True, slots=True)
class Mob:
    """The animals: how many, when they come, how they differ.

    Parameters
    ----------
    head : int
        Number of animals.
    arrivals : Law or None
        Time between arrivals at the first zone; None: all stand there from the start. [s]
    pace : Law
        Each animal's own factor on crossing times.
    balk_persistence : float
        Correlation of the balking temper of one animal with that of the one before.
    balk_animal : float
        Share of the spread in temper that is the animal's own; the rest is drawn anew at each passage.
    balk_day : float
        Standard deviation of the day's temper on the normal-quantile scale of the balk share.
    ways : tuple of float
        Share of animals for each draft way 1, 2, ... (empty: no draft). The number drawn for an animal is its place
        in the mob: with shares between cut weights, light to heavy, the way is that of the animal's own weight.
    down_share, down_after : float, Law
        Share of animals that go down while held, and how long after they were caught. [s]
    """

    head: int
    arrivals: Law | None = None
    pace: Law = ONCE
    balk_persistence: float = 0.0
    balk_animal: float = 0.0
    balk_day: float = 0.0
    ways: tuple[float, ...] = ()
    down_share: float = 0.0
    down_after: Law = A_WHILE


@dataclass(frozen=True, slots=True)
class Line:
    """Everything the kernel runs, apart from netlist, plant and motion laws.

    The first zone is where animals come in; a zone without a passage out of it is an end. Zones, parts, spaces and
    controls that the plant or netlist knows go by the same names here; the gates on a passage are the plant's.
    Distances are between `places`, by the way people walk. `decides_in` is the zone where an animal's draft way is
    decided; `switched_on` are the maintained controls that stand on from the start.
    """

    zones: tuple[Zone, ...]
    passages: tuple[Passage, ...]
    mob: Mob
    tasks: tuple[Task, ...] = ()
    crew: tuple[Person, ...] = ()
    presses: tuple[Press, ...] = ()
    jobs: tuple[Job, ...] = ()
    breaks: tuple[Break, ...] = ()
    uncertain: tuple[Uncertain, ...] = ()
    places: tuple[str, ...] = ()
    distances_m: tuple[tuple[float, ...], ...] = ()
    walking_m_per_s: float = 1.2
    decides_in: str = ""
    switched_on: tuple[str, ...] = ()
