"""What happens: one replication's state, one animal, and the words, as numbers, for what each is doing.

`WORLD` is written by the kernel alone; whoever else changes it says so by its `dirty`.
"""

from __future__ import annotations

import numpy as np

from stockproof.flow.sizes import (
    FACT_WORDS,
    FACTORS,
    JOBS,
    LISTS,
    MEMORY_WORDS,
    MOTIONS,
    OIL,
    PARTS,
    PASSAGES,
    PEOPLE,
    PRESSES,
    RUNNING,
    SIGNALS,
    SLOTS,
    SPACES,
    TASKS,
    ZONES,
)

__all__ = [
    "ALL_THROUGH",
    "ANIMAL",
    "AT_SENSOR",
    "AT_WORK",
    "AT_WORK_ZONE",
    "BALKED",
    "BALKING",
    "BEGAN_IN",
    "BLOCKED",
    "CLOSING",
    "COLUMNS",
    "COMING",
    "COMING_IN",
    "CROSSING",
    "DOINGS",
    "DONE_IN",
    "EMPTY_ZONE",
    "FETCHING",
    "GONE",
    "IDLE",
    "IN",
    "IN_NECK",
    "JOB_STATE",
    "LEFT",
    "LET_GO",
    "LYING",
    "NECK_HELD",
    "NOT_COME",
    "NOT_SETTLED",
    "NO_HEAD",
    "ON_BREAK",
    "ON_THE_WAY",
    "OPENING",
    "OTHER_WAIT",
    "OUT_OF_SLOTS",
    "PARTS_MOVE",
    "PART_STATE",
    "PAST",
    "PERSON_STATE",
    "PRESSING",
    "PRESS_STATE",
    "REACTING",
    "REFUSING",
    "RELOADING",
    "RUNNING_ON",
    "RUN_STATE",
    "STANDING_STILL",
    "STOPPED_EARLY",
    "STOPS",
    "STUCK",
    "TOO_LONG",
    "WALKING",
    "WANTS_PERSON",
    "WORLD",
    "ZONE_STATE",
    "ZONE_STATES",
]

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
        ("oil", "f8", (OIL,)),  # see `motion.state`
        ("oil_rate", "f8", (MOTIONS,)),
        ("oil_from_s", "f8", (MOTIONS,)),
        ("oil_until_s", "f8", (MOTIONS,)),
        ("oil_left_m3", "f8", (MOTIONS,)),
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
# Kinds of stop, in the order of `WORLD.stop_s`.
STOPS = ("refill", "balk", "recatch", "draft_pen_full", "breaks", "reload")
# How a run ended.
RUNNING_ON, ALL_THROUGH, STUCK, TOO_LONG, NOT_SETTLED, OUT_OF_SLOTS = range(6)

#: Columns of the crossing times kept of every animal in every zone.
BEGAN_IN, IN, DONE_IN, LEFT, COLUMNS = range(5)
