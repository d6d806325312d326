"""What the control program comes to with its inputs as they are: scanned until its memory rests, and then remembered.

A scan is a pure function of what the sensors show, the controls pressed, the timers run out and the bits remembered;
so is the state it settles in. Each situation met is therefore scanned once and from then on looked up: a yard is in a
few hundred of them over and over. The table belongs to one thread and changes nothing but the time a run takes.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from stockproof.flow import tables as t
from stockproof.flow.compiled import compiled
from stockproof.netlist.kernel import commit, restart, scan

__all__ = ["MOST_SCANS", "settle", "start_program"]

ON = np.uint64(0xFFFF_FFFF_FFFF_FFFF)
OFF = np.uint64(0)
#: Scans in one instant before the logic counts as never settling.
MOST_SCANS = 64
#: 2 ** 64 over the golden ratio, made odd, as a signed word (Knuth, The Art of Computer Programming 3, section 6.4).
MIX = -7046029254386353131

# A row of the table: the scans it took (0: the row is free), the key, and what it came to (`tables.OUTCOME`).


@compiled
def start_program(w: Any, p: Any) -> None:
    """The controller starts, at first or anew: remembered bits as they are once it has power, no timer run."""
    restart(p.op[: p.nodes], p.a[: p.nodes], p.memory_node[: p.memories], p.memory_start[: p.memories], p.values)
    nodes = p.truth_nodes
    restart(p.truth_op[:nodes], p.truth_a[:nodes], p.memory_node[:0], p.memory_start[:0], p.truth_values)
    for k in range(t.MEMORY_WORDS):
        w.memory[k] = 0
    w.elapsed, w.timing, w.unscanned = 0, 0, 1
    for k in range(p.memories):
        if p.memory_start[k] != OFF:
            w.memory[k >> 6] |= 1 << (k & 63)


@compiled
def settle(m: Any, w: Any, p: Any) -> int:
    """Where in the table the row stands of the situation as it is.

    A table without rows remembers nothing: its one place is written anew each time.
    """
    if m.rows == 0:
        p.memo[0] = _scan_out(m, w, p, 1 + m.key_words)
        return 0
    first = _write_key(m, w, p) & (m.rows - 1)
    at = _row_of_key(m, p, first)
    if p.memo[at] != 0:
        return at
    if 2 * p.memo_used >= m.rows:
        p.memo[:] = 0
        p.memo_used = 0
        at = first * m.row_words
    p.memo_used += 1
    for k in range(m.key_words):
        p.memo[at + 1 + k] = p.key[k]
    p.memo[at] = _scan_out(m, w, p, at + 1 + m.key_words)
    return at


@compiled
def _write_key(m: Any, w: Any, p: Any) -> int:
    """Put together everything a scan reads; gives a number mixed from all of it."""
    words = m.truth_words
    for k in range(words):
        p.key[k] = w.fact[k]
    for k in range(m.control_words):
        p.key[words + k] = 0
    for k in range(m.controls):
        if w.pressed[k] > 0:
            p.key[words + (k >> 6)] |= 1 << (k & 63)
    words += m.control_words
    p.key[words] = w.elapsed
    for k in range(m.memory_words):
        p.key[words + 1 + k] = w.memory[k]
    mixed = 0
    for k in range(m.key_words):
        mixed = (mixed ^ p.key[k]) * MIX
        mixed ^= mixed >> 32
    return mixed


@compiled
def _row_of_key(m: Any, p: Any, row: int) -> int:
    """The row that holds the key, or the free one where it belongs."""
    while True:
        at = row * m.row_words
        same = True
        for k in range(m.key_words):
            same = same and p.memo[at + 1 + k] == p.key[k]
        if same or p.memo[at] == 0:
            return int(at)
        row = (row + 1) & (m.rows - 1)


@compiled
def _scan_out(m: Any, w: Any, p: Any, to: int) -> int:
    """Scan until the memory no longer changes and write down what came of it; gives the number of scans."""
    _show_inputs(m, w, p)
    cancelled, started, scans, moves = 0, 0, 0, True
    while moves and scans <= MOST_SCANS:
        scans += 1
        scan(p.op[: p.nodes], p.a[: p.nodes], p.b[: p.nodes], p.values[: p.nodes])
        for k in range(m.timers):
            if p.values[p.timer_when[k]] == OFF:
                p.values[p.timer_elapsed[k]] = OFF
                cancelled, started = cancelled | 1 << k, started & ~(1 << k)
            elif p.values[p.timer_running[k]] == OFF:
                started |= 1 << k
        moves = _remember(p)
    p.memo[to + t.CANCELLED], p.memo[to + t.STARTED] = cancelled, started
    _write_outputs(m, p, to)
    return scans


@compiled
def _show_inputs(m: Any, w: Any, p: Any) -> None:
    """Write every input node, and the remembered bits, of a scan."""
    for k in range(p.truths):
        p.truth_values[p.truth_node[k]] = _lanes(w.fact[k >> 6], k)
    nodes = p.truth_nodes
    scan(p.truth_op[:nodes], p.truth_a[:nodes], p.truth_b[:nodes], p.truth_values[:nodes])
    for k in range(p.sensors):
        # a doubtful reading is the exhaustive check's business; here a sensor shows what is so
        if p.sensor_node[k] >= 0:
            p.values[p.sensor_node[k]] = p.truth_values[p.sensor_sure[k]]
    for k in range(m.controls):
        p.values[p.control_node[k]] = ON if w.pressed[k] > 0 else OFF
    for k in range(m.timers):
        p.values[p.timer_elapsed[k]] = _lanes(w.elapsed, k)
    for k in range(p.memories):
        p.values[p.memory_node[k]] = _lanes(w.memory[k >> 6], k)


@compiled
def _lanes(word: int, k: int) -> Any:
    """Bit k of a word (of several, the one it stands in), in every lane of a node's value."""
    return ON if (word >> (k & 63)) & 1 else OFF


@compiled
def _remember(p: Any) -> bool:
    """Commit the remembered bits; gives whether any changed."""
    for k in range(p.memories):
        if p.values[p.memory_node[k]] != p.values[p.memory_next[k]]:
            commit(p.memory_node[: p.memories], p.memory_next[: p.memories], p.values, p.spare)
            return True
    return False


@compiled
def _write_outputs(m: Any, p: Any, to: int) -> None:
    """Write down the motions driven and refused, the memory, and the signals people see, as bits."""
    driven, refused = 0, 0
    for k in range(m.motions):
        if p.values[p.motion_node[k]] != OFF:
            driven |= 1 << k
        elif p.motion_request[k] >= 0 and p.values[p.motion_request[k]] != OFF:
            refused |= 1 << k
    p.memo[to + t.DRIVEN], p.memo[to + t.REFUSED] = driven, refused
    memory, signals = to + t.OUTCOME, to + t.OUTCOME + m.memory_words
    for k in range(memory, signals + m.signal_words):
        p.memo[k] = 0
    for k in range(p.memories):
        if p.values[p.memory_node[k]] != OFF:
            p.memo[memory + (k >> 6)] |= 1 << (k & 63)
    for k in range(m.signals):
        if p.values[m.signal_node[k]] != OFF:
            p.memo[signals + (k >> 6)] |= 1 << (k & 63)
