"""The arrays the compiled kernel reads and writes, under one name: `t.ZONES`, `t.MODEL`, `t.WORLD`.

`MODEL` holds a line as data and `PROGRAM` the control it runs with; neither is changed by the kernel but for the
program's workspace. All are fixed record types, so that no line, however built, compiles anything anew.
"""

# ruff: noqa: F403, F405 - sizes and states are known by this module's name
from __future__ import annotations

import numpy as np
import numpy.typing as npt

from stockproof.flow.sizes import *
from stockproof.flow.states import *

Records = npt.NDArray[np.void]

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
