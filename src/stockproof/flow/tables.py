"""The arrays the compiled kernel reads and writes, and the one translation of a `Line` into them.

`MODEL` holds a line as data and is never written by the kernel; `WORLD` is one replication's state; `ANIMAL` is
one animal. All three are fixed record types, so that no line, however built, compiles anything anew.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

__all__ = ["ANIMAL", "LIMITS", "MODEL", "PROGRAM", "WORLD", "Records"]

Records = npt.NDArray[np.void]

ZONES, PASSAGES, TASKS, PEOPLE, PRESSES, JOBS = 24, 32, 24, 12, 64, 16
PARTS, MOTIONS, TIMERS, SPACES, SIGNALS = 24, 48, 48, 16, 96
PLACES, FACTORS, RUNNING, BREAKS, WAYS = 16, 24, 32, 8, 8
POOL, NODES, MEMORIES, SENSORS, TRUTHS, TRUTH_NODES, LEVELS = 4096, 4096, 512, 128, 256, 1024, 64
#: Plain conditions that the sensors and people of a line see, and the words of 64 bits they are kept in.
FACTS = 512
FACT_WORDS, MEMORY_WORDS, CONTROL_WORDS = FACTS // 64, MEMORIES // 64, -(-SIGNALS // 64)
#: The program's signals that people look for stand in the last of these words.
SIGNAL_WORDS = 2
FIRST_SIGNAL_WORD = FACT_WORDS - SIGNAL_WORDS
#: Words of the table of settled situations (see `settle`).
MEMO = 1 << 16
#: Longest key: facts the sensors show, controls, timers run out, remembered bits.
KEY = TRUTHS // 64 + CONTROL_WORDS + 1 + MEMORY_WORDS
#: What a situation comes to, besides memory and signals: bit sets of motions and timers (see `settle`).
DRIVEN, REFUSED, CANCELLED, STARTED, OUTCOME = range(5)
ACTS = TASKS + PRESSES + JOBS
#: Lists of conditions: what passages, tasks, presses and jobs need, and what held controls are let go at.
OF_PASSAGES, OF_TASKS, OF_PRESSES, OF_JOBS, OF_RELEASES, LISTS = (
    0,
    PASSAGES,
    PASSAGES + TASKS,
    PASSAGES + TASKS + PRESSES,
    PASSAGES + TASKS + PRESSES + JOBS,
    PASSAGES + TASKS + 2 * PRESSES + JOBS,
)
#: Conditions in all of these together.
LISTED = 1024
#: Scalars of the store of oil (`motion.kernel.OilState.now`).
OIL = 11
#: Three leaves a zone, one a running task, person, part and timer, and two for arrivals and breaks.
SLOTS = 256

#: What a line may hold at most; a larger one is refused by name before anything runs.
LIMITS = {
    "zones": ZONES,
    "passages": PASSAGES,
    "tasks": TASKS,
    "people": PEOPLE,
    "presses": PRESSES,
    "jobs": JOBS,
    "places": PLACES,
    "uncertain factors": FACTORS - 1,
    "breaks": BREAKS,
    "draft ways": WAYS,
    "parts": PARTS,
    "motions": MOTIONS,
    "timers": TIMERS,
    "spaces": SPACES,
    "controls": SIGNALS,
    "logic nodes": NODES,
    "remembered bits": MEMORIES,
    "sensors": SENSORS,
    "plant truths": TRUTHS,
    "nodes of plant truth": TRUTH_NODES,
    "conditions": 64 * FIRST_SIGNAL_WORD,
    "signals looked for": 64 * SIGNAL_WORDS,
    "conditions in its lists": LISTED,
    "oil levels": LEVELS,
}

# Facts that sensors and people see, by what they are said of; a condition is the fact's bit + 1, negative if denied.
FACT_KINDS = (
    OCCUPIED, CROWDED, ROOM, FULL, LOW, ENTERING, DOWN,
    HELD, HEAD, NECK, CATCHING, THROUGH, EARLY, MISSED,
    READY, DONE, TO_HOLD, STANDING, SETTLED, READ, WORKING, DECIDED,
    AT_CLOSED, AT_MID, AT_OPEN, MOVING, BETWEEN, PRESSED_ON,
    PERSON, BREAK_DUE, WAY, WANTED, WAITING, JOB_WANTED, ASTRIDE, SIGNAL, ALWAYS, NEVER,
) = range(38)  # fmt: skip
FIRST_OF_HEADS, FIRST_OF_FRONTS, FIRST_OF_PARTS, FIRST_OF_OTHERS = HELD, READY, AT_CLOSED, PERSON

# Whose facts they are: each zone, each part, people in spaces, people otherwise, breaks, and the program's signals.
FIRST_PART = ZONES
OF_SPACES, OF_PEOPLE, OF_BREAKS, OF_SIGNALS, OWNERS = range(ZONES + PARTS, ZONES + PARTS + 5)

#: Names of the facts, by what they are said of.
ZONE_FACTS = {
    "occupied": OCCUPIED,  # an animal is wholly or partly in it
    "ready": READY,  # its front animal stands, is done with, and waits to leave
    "room": ROOM,  # a place is free
    "done": DONE,  # an animal stands at the front and no work is left on it here
    "to_hold": TO_HOLD,  # work is left that needs the animal held
    "held": HELD,  # the bail holds its neck
    "head": HEAD,  # its head has reached the place where the catch is begun
    "catching": CATCHING,  # a head is on its way to the bail, or in it and not yet held
    "through": THROUGH,  # the poll is through the bail and the neck not yet held
    "early": EARLY,  # the bail shut before its head came through
    "missed": MISSED,  # it came through before the bail shut
    "down": DOWN,  # it lies down
    "standing": STANDING,  # an animal has come in fully and stands at the front
    "entering": ENTERING,  # an animal is on its way in
    "full": FULL,  # no place is free
    "low": LOW,  # at most `nominal` animals are in it
    "neck": NECK,  # a head is between the bars
    "settled": SETTLED,  # its weight has been read
    "working": WORKING,  # somebody or something works on an animal here
}
PART_FACTS = {"closed": AT_CLOSED, "mid": AT_MID, "open": AT_OPEN, "moving": MOVING}

LAW = np.dtype(
    [("kind", "i8"), ("a", "f8"), ("b", "f8"), ("first", "i8"), ("count", "i8"), ("factor", "i8"), ("purpose", "i8")]
)
ZONE = np.dtype(
    [
        ("places", "i8"),
        ("single_file", "i8"),
        ("waits_for_work", "i8"),
        ("work_zone", "i8"),
        ("tasks", "i8"),  # bit set of the tasks done here
        ("hold_tasks", "i8"),  # those that need the animal held
        ("nominal", "i8"),
        ("stragglers", "i8"),
        ("straggling", "f8"),
        ("crowding", "f8"),
        ("out", "i8", (WAYS + 1,)),  # passage taken by draft way (0: undrafted), -1 none
        ("is_end", "i8"),
        ("main", "i8"),
        ("transit", LAW),
        ("headway", LAW),
        ("bail", "i8"),  # part that catches here, -1 none
        ("squeeze", "i8"),
        ("length_m", "f8"),
        ("sensor_m", "f8"),
        ("head_m", "f8"),
        ("neck_m", "f8"),
        ("body_m", "f8"),
        ("head_at", "f8"),
        ("neck_at", "f8"),
        ("lead_s", "f8"),
        ("weigh_task", "i8"),
        ("read_task", "i8"),
    ]
)
PASSAGE = np.dtype(
    [
        ("source", "i8"),
        ("target", "i8"),
        ("part", "i8", (2,)),  # parts that must stand at a position, -1 none
        ("position", "f8", (2,)),
        ("crossing", LAW),
        ("paced", "i8"),
        ("follow_s", "f8"),
        ("following", "f8"),
        ("balk_share", "f8"),
        ("balk_follow", "f8"),
        ("temper", "i8"),  # purpose of the draw whether one balks here
        ("balk_wait", LAW),
        ("balk_pushed", LAW),
        ("balk_own", LAW),
        ("refuse_after", "i8"),
        ("bypass", "i8"),  # zone a refuser is led to, -1 none
    ]
)
TASK = np.dtype(
    [
        ("zone", "i8"),
        ("skill", "i8"),
        ("place", "i8"),
        ("space", "i8"),
        ("not_with", "i8"),
        ("after", "i8"),
        ("share", "f8"),
        ("choice", "i8"),  # purpose of the draw who needs it
        ("law", LAW),
        ("gate_s", "f8"),  # opening or closing the access gate by hand
        ("gate_part", "i8"),
        ("gate_needs", "i8"),  # a part that must be open first (the lock), -1 none
        ("reload_every", "i8"),
        ("reload", LAW),
    ]
)
PRESS = np.dtype(
    [
        ("control", "i8"),  # which control
        ("held", "i8"),  # held until `until` is so
        ("skill", "i8"),
        ("place", "i8"),
        ("reaction", LAW),
        ("press_s", "f8"),
        ("again_s", "f8"),
        ("longest_s", "f8"),
        ("hand_part", "i8"),  # a part moved by hand instead of a control, -1 none
        ("hand_to", "f8"),
    ]
)
JOB = np.dtype(
    [
        ("kind", "i8"),
        ("zone", "i8"),
        ("source", "i8"),
        ("skill", "i8"),
        ("start_place", "i8"),
        ("end_place", "i8"),
        ("at_most", "i8"),
        ("law", LAW),
        ("batch", LAW),
        ("per_head_s", "f8"),
    ]
)
#: Kinds of job.
BRING, EMPTY, PUSH, ATTEND, LEAD_ROUND = range(5)
JOB_KINDS = {"bring": BRING, "empty": EMPTY, "push": PUSH, "attend": ATTEND, "lead_round": LEAD_ROUND}

ACT = np.dtype([("kind", "i8"), ("index", "i8")])
ACT_TASK, ACT_PRESS, ACT_JOB = range(3)

MODEL = np.dtype(
    [
        ("zones", "i8"),
        ("passages", "i8"),
        ("tasks", "i8"),
        ("people", "i8"),
        ("presses", "i8"),
        ("jobs", "i8"),
        ("acts", "i8"),
        ("autos", "i8"),
        ("parts", "i8"),
        ("motions", "i8"),
        ("timers", "i8"),
        ("controls", "i8"),
        ("factors", "i8"),
        ("breaks", "i8"),
        ("ways", "i8"),
        ("spaces", "i8"),
        ("head", "i8"),
        ("powered", "i8"),  # a netlist is there to scan
        ("first_person_slot", "i8"),
        ("first_running_slot", "i8"),
        ("running", "i8"),  # running tasks at once at most
        ("first_part_slot", "i8"),
        ("first_timer_slot", "i8"),
        ("arrival_slot", "i8"),
        ("break_slot", "i8"),
        ("leaves", "i8"),
        ("walking_m_per_s", "f8"),
        ("open_arrivals", "i8"),
        ("arrivals", LAW),
        ("pace", LAW),
        ("balk_persistence", "f8"),
        ("balk_day", "f8"),
        ("balk_animal", "f8"),
        ("down_share", "f8"),
        ("down_after", LAW),
        ("way_share", "f8", (WAYS,)),  # cumulated
        ("end_of_way", "i8", (WAYS + 1,)),
        ("latest_s", "f8"),
        ("zone", ZONE, (ZONES,)),
        ("passage", PASSAGE, (PASSAGES,)),
        ("task", TASK, (TASKS,)),
        ("auto", "i8", (TASKS,)),  # tasks nobody does by hand
        ("press", PRESS, (PRESSES,)),
        ("job", JOB, (JOBS,)),
        ("act", ACT, (ACTS,)),
        ("skills", "i8", (PEOPLE,)),
        ("home", "i8", (PEOPLE,)),
        ("stands", "i8", (PEOPLE,)),  # bit set of places a person may stand at
        ("distance_m", "f8", (PLACES, PLACES)),
        ("break_start_s", "f8", (BREAKS,)),
        ("break_length_s", "f8", (BREAKS,)),
        ("factor", LAW, (FACTORS,)),
        ("pool", "f8", (POOL,)),
        ("decide_zone", "i8"),  # where an animal's way is decided, -1 none
        ("decide_task", "i8"),  # by which task
        ("main_zone", "i8"),  # the work zone whose idle time is told apart by kind of stop
        ("rest", "f8", (PARTS,)),
        ("space_gate", "i8", (SPACES,)),
        ("space_zone", "i8", (SPACES,)),
        ("switched_on", "i8", (SIGNALS,)),
        ("zone_of_part", "i8", (PARTS,)),  # whose time it takes when it moves
        ("grip_zone", "i8", (PARTS,)),  # where a part presses on the animal, -1 nowhere
        ("facts", "i8"),
        ("truths", "i8"),  # the first so many facts are what sensors show
        ("fact_kind", "i8", (FACTS,)),
        ("fact_of", "i8", (FACTS,)),
        ("owner_first", "i8", (OWNERS + 1,)),  # where each owner's facts begin in the list below
        ("owner_fact", "i8", (2 * FACTS,)),
        ("signals", "i8"),
        ("truth_words", "i8"),  # words of facts the sensors show; of controls; of memory; of signals (see `settle`)
        ("control_words", "i8"),
        ("memory_words", "i8"),
        ("signal_words", "i8"),
        ("key_words", "i8"),
        ("row_words", "i8"),
        ("rows", "i8"),  # of the table of settled situations; 0: every situation is scanned anew
        ("signal_node", "i8", (64 * SIGNAL_WORDS,)),
        ("zone_watch", "i8", (ZONES,)),  # bit set of the owners that decide whether an animal may leave a zone
        ("fact_first", "i8", (FACTS + 1,)),  # where each fact's lists begin below
        ("fact_list", "i8", (LISTED,)),  # a list that needs the fact, + 1; negative where it needs its denial
        ("unmet", "i8", (LISTS,)),  # conditions of each list that are not met while no fact is so
        ("list_of_act", "i8", (ACTS,)),
    ]
)

# Where an animal is in its own doings.
WALKING, STANDING_STILL, BALKING, CROSSING, LYING, GONE, NOT_COME, REFUSING = range(8)
# How far a head has come at a bail.
NO_HEAD, COMING, AT_SENSOR, IN_NECK, NECK_HELD, LET_GO, STOPPED_EARLY, PAST = range(8)
# What a person is doing.
(IDLE, ON_THE_WAY, REACTING, PRESSING, OPENING, AT_WORK, CLOSING, RELOADING, ON_BREAK, FETCHING, DOINGS) = range(11)
# Where a zone's time goes.
(EMPTY_ZONE, COMING_IN, AT_WORK_ZONE, WANTS_PERSON, PARTS_MOVE, BALKED, BLOCKED, OTHER_WAIT, ZONE_STATES) = range(9)

ANIMAL = np.dtype(
    [
        ("next", "i8"),
        ("prev", "i8"),
        ("zone", "i8"),
        ("doing", "i8"),  # one of the states above
        ("todo", "i8"),
        ("running", "i8"),
        ("way", "i8"),
        ("entered_s", "f8"),
        ("ready_s", "f8"),
        ("pace", "f8"),
        ("temper", "f8"),
        ("balks", "i8"),
        ("tried", "i8"),
        ("crossings", "i8"),
        ("returns", "i8"),
        ("missed", "i8"),
        ("early", "i8"),
        ("refused", "i8"),
        ("went_down", "i8"),
        ("strayed", "i8"),
        ("caught", "i8"),
    ]
)
PERSON_STATE = np.dtype(
    [
        ("doing", "i8"),
        ("act", "i8"),
        ("animal", "i8"),
        ("place", "i8"),
        ("space", "i8"),
        ("since_s", "f8"),
        ("spent_s", "f8", (DOINGS,)),
        ("acts", "i8"),
    ]
)
ZONE_STATE = np.dtype(
    [
        ("front", "i8"),
        ("back", "i8"),
        ("count", "i8"),
        ("coming", "i8"),  # passage in use on the way in, -1 none
        ("comer", "i8"),
        ("began_s", "f8"),
        ("took_s", "f8"),
        ("last_in_s", "f8"),
        ("free_s", "f8"),  # when the place at the front may be taken after the last one left it
        ("leaving", "i8"),
        ("phase", "i8"),
        ("down", "i8"),
        ("state", "i8"),
        ("since_s", "f8"),
        ("spent_s", "f8", (ZONE_STATES,)),
        ("batch", "i8"),  # size of the last batch brought in
        ("most", "i8"),
        ("held_s", "f8"),
    ]
)
PART_STATE = np.dtype(
    [
        ("at", "f8"),  # position at `since_s`
        ("to", "f8"),
        ("moving", "i8"),
        ("motion", "i8"),
        ("since_s", "f8"),
        ("until_s", "f8"),
        ("cycles", "i8"),
        ("touches", "i8"),
        ("logged", "i8"),
    ]
)
RUN_STATE = np.dtype([("task", "i8"), ("animal", "i8"), ("person", "i8")])
PRESS_STATE = np.dtype([("active", "i8"), ("next_s", "f8"), ("count", "i8"), ("animal", "i8"), ("of_animal", "i8")])
JOB_STATE = np.dtype([("active", "i8"), ("animal", "i8"), ("count", "i8"), ("size", "i8"), ("spent_s", "f8")])

WORLD = np.dtype(
    [
        ("now", "f8"),
        ("seed", "i8"),
        ("replication", "i8"),
        ("arrived", "i8"),
        ("finished", "i8"),
        ("treated", "i8"),
        ("events", "i8"),
        ("rounds", "i8"),
        ("scans", "i8"),
        ("status", "i8"),
        ("dirty", "i8"),  # somebody outside the kernel has changed something sensors may show
        ("stirred", "i8"),  # ... or something that only animals and people act on
        ("unscanned", "i8"),  # the program has not been scanned since an input changed
        ("stale", "i8"),  # owners touched since their facts were read (see `touched`)
        ("unmoved", "i8"),  # ... since animals and people last looked whether they may act
        ("fact", "i8", (FACT_WORDS,)),
        ("unmet", "i8", (LISTS,)),  # conditions of each list that are not met now
        ("memory", "i8", (MEMORY_WORDS,)),  # remembered bits of the program
        ("elapsed", "i8"),  # bit set of the timers that have run out
        ("timing", "i8"),  # ... of those that run
        ("break_index", "i8"),
        ("break_due", "i8"),
        ("on_break", "i8"),
        ("break_s", "f8"),
        ("day_temper", "f8"),
        ("idle", "i8"),
        ("logging", "i8"),
        ("herd_at", "i8"),  # addresses, and room there (see `memory`)
        ("animal_bytes", "i8"),
        ("times_at", "i8"),
        ("log_at", "i8"),
        ("log_rows", "i8"),
        ("moves_at", "i8"),
        ("move_rows", "i8"),
        ("logged", "i8"),
        ("motions_logged", "i8"),
        ("first_in_s", "f8"),
        ("first_held_s", "f8"),
        ("last_free_s", "f8"),
        ("last_penned_s", "f8"),
        ("stop_s", "f8", (6,)),  # time of each kind of stop
        ("stop", "i8"),
        ("stop_since_s", "f8"),
        ("oil", "f8", (OIL,)),  # see `motion.kernel`
        ("oil_rate", "f8", (MOTIONS,)),
        ("oil_from_s", "f8", (MOTIONS,)),
        ("oil_until_s", "f8", (MOTIONS,)),
        ("balks", "i8"),
        ("refusals", "i8"),
        ("early", "i8"),
        ("missed", "i8"),
        ("downs", "i8"),
        ("strayed", "i8"),  # went another way than its own
        ("touches", "i8"),
        ("factor", "f8", (FACTORS,)),
        ("zone", ZONE_STATE, (ZONES,)),
        ("person", PERSON_STATE, (PEOPLE,)),
        ("part", PART_STATE, (PARTS,)),
        ("run", RUN_STATE, (RUNNING,)),
        ("press", PRESS_STATE, (PRESSES,)),
        ("job", JOB_STATE, (JOBS,)),
        ("reloading", "i8", (TASKS,)),
        ("done", "i8", (TASKS,)),
        ("in_space", "i8", (SPACES,)),
        ("pressed", "i8", (SIGNALS,)),
        ("commanded", "i8", (MOTIONS,)),
        ("refused", "i8", (MOTIONS,)),
        ("cycles", "i8", (MOTIONS,)),
        ("last_passage_s", "f8", (PASSAGES,)),
        ("leaf_s", "f8", (SLOTS,)),
        ("winner", "i8", (2 * SLOTS,)),
    ]
)
#: A control program, the plant's truths and the motion law, with the workspace one thread needs.
PROGRAM = np.dtype(
    [
        ("nodes", "i8"),
        ("memories", "i8"),
        ("sensors", "i8"),
        ("truths", "i8"),
        ("truth_nodes", "i8"),
        ("levels", "i8"),
        ("op", "i1", (NODES,)),
        ("a", "i4", (NODES,)),
        ("b", "i4", (NODES,)),
        ("values", "u8", (NODES,)),
        ("key", "i8", (KEY,)),
        ("memo_used", "i8"),
        ("memo", "i8", (MEMO,)),
        ("memory_node", "i4", (MEMORIES,)),
        ("memory_next", "i4", (MEMORIES,)),
        ("memory_start", "u8", (MEMORIES,)),
        ("spare", "u8", (MEMORIES,)),
        ("motion_node", "i4", (MOTIONS,)),
        ("motion_request", "i4", (MOTIONS,)),
        ("motion_part", "i4", (MOTIONS,)),
        ("motion_target", "f8", (MOTIONS,)),
        ("motion_undriven", "i4", (MOTIONS,)),
        ("timer_when", "i4", (TIMERS,)),
        ("timer_running", "i4", (TIMERS,)),
        ("timer_elapsed", "i4", (TIMERS,)),
        ("timer_preset_s", "f8", (TIMERS,)),
        ("control_node", "i4", (SIGNALS,)),
        ("sensor_node", "i4", (SENSORS,)),
        ("sensor_sure", "i4", (SENSORS,)),
        ("truth_op", "i1", (TRUTH_NODES,)),
        ("truth_a", "i4", (TRUTH_NODES,)),
        ("truth_b", "i4", (TRUTH_NODES,)),
        ("truth_values", "u8", (TRUTH_NODES,)),
        ("truth_node", "i4", (TRUTHS,)),
        ("lag_s", "f8", (MOTIONS,)),
        ("time_s", "f8", (MOTIONS, LEVELS)),
        ("oil_m3", "f8", (MOTIONS,)),
        ("level_m3", "f8", (LEVELS,)),
        ("level_pressure_pa", "f8", (LEVELS,)),
        ("pump_m3_per_s", "f8"),
        ("leak_m3_per_s", "f8"),
        ("cut_in_m3", "f8"),
        ("cut_out_m3", "f8"),
        ("start_m3", "f8"),
    ],
    align=True,
)
# Kinds of stop, in the order of `WORLD.stop_s`.
STOPS = ("refill", "balk", "recatch", "draft_pen_full", "breaks", "reload")
# How a run ended.
RUNNING_ON, ALL_THROUGH, STUCK, TOO_LONG, NOT_SETTLED, OUT_OF_SLOTS = range(6)

#: Columns of the crossing times kept of every animal in every zone.
BEGAN_IN, IN, DONE_IN, LEFT, COLUMNS = range(5)
