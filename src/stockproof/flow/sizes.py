"""How much of everything a line may hold, and what can be seen of it: the numbers that shape the kernel's tables."""

from __future__ import annotations

__all__ = [
    "ACTS",
    "ALWAYS",
    "ASTRIDE",
    "AT_CLOSED",
    "AT_MID",
    "AT_OPEN",
    "BETWEEN",
    "BREAKS",
    "BREAK_DUE",
    "CANCELLED",
    "CATCHING",
    "CONTROL_WORDS",
    "CROWDED",
    "DECIDED",
    "DONE",
    "DOWN",
    "DRIVEN",
    "EARLY",
    "ENTERING",
    "FACTORS",
    "FACTS",
    "FACT_KINDS",
    "FACT_WORDS",
    "FIRST_OF_FRONTS",
    "FIRST_OF_HEADS",
    "FIRST_OF_OTHERS",
    "FIRST_OF_PARTS",
    "FIRST_PART",
    "FIRST_SIGNAL_WORD",
    "FULL",
    "HEAD",
    "HELD",
    "JOBS",
    "JOB_WANTED",
    "KEY",
    "LEVELS",
    "LIMITS",
    "LISTED",
    "LISTS",
    "LOW",
    "MEMO",
    "MEMORIES",
    "MEMORY_WORDS",
    "MISSED",
    "MOTIONS",
    "MOVING",
    "NECK",
    "NEVER",
    "NODES",
    "OCCUPIED",
    "OF_BREAKS",
    "OF_JOBS",
    "OF_PASSAGES",
    "OF_PEOPLE",
    "OF_PRESSES",
    "OF_RELEASES",
    "OF_SIGNALS",
    "OF_SPACES",
    "OF_TASKS",
    "OIL",
    "OUTCOME",
    "OWNERS",
    "PARTS",
    "PART_FACTS",
    "PASSAGES",
    "PEOPLE",
    "PERSON",
    "PLACES",
    "POOL",
    "PRESSED_ON",
    "PRESSES",
    "READ",
    "READY",
    "REFUSED",
    "ROOM",
    "RUNNING",
    "SENSORS",
    "SETTLED",
    "SIGNAL",
    "SIGNALS",
    "SIGNAL_WORDS",
    "SLOTS",
    "SPACES",
    "STANDING",
    "STARTED",
    "TASKS",
    "THROUGH",
    "TIMERS",
    "TO_HOLD",
    "TRUTHS",
    "TRUTH_NODES",
    "WAITING",
    "WANTED",
    "WAY",
    "WAYS",
    "WORKING",
    "ZONES",
    "ZONE_FACTS",
]

ZONES, PASSAGES, TASKS, PEOPLE, PRESSES, JOBS = 24, 32, 24, 12, 64, 16
PARTS, MOTIONS, TIMERS, SPACES, SIGNALS = 24, 48, 48, 16, 96
PLACES, FACTORS, RUNNING, BREAKS, WAYS = 16, 24, 32, 64, 8
POOL, NODES, MEMORIES, SENSORS, TRUTHS, TRUTH_NODES, LEVELS = 4096, 4096, 512, 128, 256, 1024, 80
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
#: Scalars of the store of oil (`motion.state.OilState.now`).
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
