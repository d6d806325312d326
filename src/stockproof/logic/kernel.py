"""The exhaustive breadth-first search: 64 states at a time, one fixed compiled loop for every system.

States are words in an open-addressing table; the queue of all states found, in order, with the number of each one's
parent, is at once the list to work through and the way back to a shortest story.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from numba import njit

from stockproof.netlist.kernel import scan

__all__ = ["DONE", "ENOUGH", "FULL", "PAUSED", "insert", "rehash", "search", "transpose"]

Words = npt.NDArray[np.uint64]

#: Why `search` came back: nothing left to explore, no room left, its share of batches done, or all found.
DONE, FULL, PAUSED, ENOUGH = 0, 1, 2, 3
#: Fibonacci hashing: 2**64 over the golden ratio (Knuth, The Art of Computer Programming, vol. 3, 6.4).
GOLDEN = np.uint64(0x9E3779B97F4A7C15)
ONE = np.uint64(1)
ZERO = np.uint64(0)


@njit(cache=True)  # type: ignore[untyped-decorator]
def transpose(m: Words) -> None:
    """Turn 64 rows of 64 bits into 64 columns, in place (Warren, Hacker's Delight, 7-3, for 64 bits)."""
    j = 32
    mask = np.uint64(0x00000000FFFFFFFF)
    while j != 0:
        shift = np.uint64(j)
        k = 0
        while k < 64:
            t = ((m[k] >> shift) ^ m[k + j]) & mask
            m[k] ^= t << shift
            m[k + j] ^= t
            k = (k + j + 1) & ~j
        j >>= 1
        mask ^= mask << np.uint64(j) if j else ZERO


@njit(cache=True)  # type: ignore[untyped-decorator]
def insert(
    key: np.uint64, parent: np.uint32, table: Words, shift: np.uint64, queue: Words, parents: Any, counts: Any
) -> None:
    """Put a state into table and queue unless it is known; counts[1] is the length of the queue."""
    place = (key * GOLDEN) >> shift
    last = np.uint64(table.size - 1)
    while True:
        there = table[place]
        if there == key:
            return
        if there == ZERO:
            table[place] = key
            queue[counts[1]] = key
            parents[counts[1]] = parent
            counts[1] += 1
            return
        place = (place + ONE) & last


@njit(cache=True)  # type: ignore[untyped-decorator]
def rehash(queue: Words, count: int, table: Words, shift: np.uint64) -> None:
    """Fill a fresh table with the states of the queue."""
    last = np.uint64(table.size - 1)
    for k in range(count):
        place = (queue[k] * GOLDEN) >> shift
        while table[place] != ZERO:
            place = (place + ONE) & last
        table[place] = queue[k]


@njit(cache=True)  # type: ignore[untyped-decorator]
def lowest(word: np.uint64) -> int:
    """Number of the lowest set bit."""
    n = 0
    if word & np.uint64(0xFFFFFFFF) == ZERO:
        n += 32
        word >>= np.uint64(32)
    if word & np.uint64(0xFFFF) == ZERO:
        n += 16
        word >>= np.uint64(16)
    if word & np.uint64(0xFF) == ZERO:
        n += 8
        word >>= np.uint64(8)
    if word & np.uint64(0xF) == ZERO:
        n += 4
        word >>= np.uint64(4)
    if word & np.uint64(3) == ZERO:
        n += 2
        word >>= np.uint64(2)
    if word & ONE == ZERO:
        n += 1
    return n


@njit(cache=True)  # type: ignore[untyped-decorator]
def search(  # noqa: PLR0912, PLR0915 - one loop, compiled as a whole: splitting it would cost a call a state
    scan_op: Any,
    scan_a: Any,
    scan_b: Any,
    scan_bit: Any,
    scan_pattern: Any,
    scan_next: Any,
    scan_carried: Any,
    scan_bad: Any,
    move_op: Any,
    move_a: Any,
    move_b: Any,
    move_bit: Any,
    move_carried: Any,
    move_guard: Any,
    write_start: Any,
    write_bit: Any,
    write_node: Any,
    patterns: Any,
    pattern_valid: Any,
    pattern_budget: Any,
    pattern_below: Any,
    stays: bool,
    dependent: Any,
    table: Words,
    shift: np.uint64,
    queue: Words,
    parents: Any,
    counts: Any,
    bad_state: Any,
    bad_pattern: Any,
    stuck: Any,
    covered: Any,
    enough: int,
    batches: int,
) -> int:
    """Explore from the queue's next state on.

    Parameters
    ----------
    (system arrays)
        See `logic.system.System`.
    counts : int64[4]
        Next state to explore, states found, steps taken (edges), states without any move (deadlocks).
    bad_state, bad_pattern : int64[Q]
        First state and pattern at which each bad node was true, -1 so far.
    stuck : int64[1]
        First state without any move, -1 so far.
    covered : int64[M]
        How often each move was taken.
    enough : int
        Come back once the first so many bad nodes have all been true; 0 to explore to the end.
    batches : int
        Come back after so many batches of 64 states.
    """
    n, moves_count, carried = scan_bit.size, move_guard.size, scan_carried.size
    top = ONE << np.uint64(63)
    va = np.zeros(scan_op.size, np.uint64)
    vb = np.zeros(move_op.size, np.uint64)
    vc = np.zeros(move_op.size, np.uint64)
    for i in range(scan_op.size):
        if scan_op[i] == 0 and scan_a[i] == 1:
            va[i] = ~ZERO
    for i in range(move_op.size):
        if move_op[i] == 0 and move_a[i] == 1:
            vb[i] = ~ZERO
            vc[i] = ~ZERO
    keys = np.zeros(64, np.uint64)
    after = np.zeros(64, np.uint64)
    once = np.zeros(64, np.uint64)
    state = np.zeros(64, np.uint64)
    outcome = np.zeros((patterns.shape[0], n + carried), np.uint64)
    # what one pattern can add at most: every pair of moves in every lane
    slack = 64 * (1 + moves_count + moves_count * moves_count)
    edges, taken = 0, np.zeros(moves_count, np.int64)
    for _ in range(batches):
        if counts[0] == counts[1]:
            return DONE
        missing = enough == 0
        for k in range(enough):
            missing |= bad_state[k] < 0
        if not missing:
            return ENOUGH
        edges = 0
        taken[:] = 0
        first = counts[0]
        lanes = min(64, counts[1] - first)
        mask_all = ~ZERO if lanes == 64 else (ONE << np.uint64(lanes)) - ONE
        for lane in range(64):
            keys[lane] = queue[first + lane] if lane < lanes else ZERO
            state[lane] = keys[lane]
        transpose(state)
        moved = ZERO
        for k in range(n):
            va[scan_bit[k]] = state[k]
        for p in range(patterns.shape[0]):
            if counts[1] + slack > queue.size:
                # come again to this batch with more room; its states are known then, its steps not yet counted
                return FULL
            for k in range(scan_pattern.size):
                va[scan_pattern[k]] = ~ZERO if patterns[p, k] else ZERO
            scan(scan_op, scan_a, scan_b, va)
            mask = mask_all
            if pattern_valid[p] >= 0:
                mask &= va[pattern_valid[p]]
            if mask == ZERO:
                # nothing may compare itself with an outcome that was not computed for every lane
                for k in range(n):
                    outcome[p, k] = va[scan_next[k]]
                for k in range(carried):
                    outcome[p, n + k] = va[scan_carried[k]]
                continue
            for k in range(scan_bad.size):
                if bad_state[k] < 0:
                    hit = va[scan_bad[k]] & mask
                    if hit != ZERO:
                        bad_state[k] = first + lowest(hit)
                        bad_pattern[k] = p
            for k in range(n):
                outcome[p, k] = va[scan_next[k]]
            for k in range(carried):
                outcome[p, n + k] = va[scan_carried[k]]
            for s in range(2):
                below = pattern_below[p, s]
                if below >= 0:
                    differs = ZERO
                    for k in range(n + carried):
                        differs |= outcome[p, k] ^ outcome[below, k]
                    if pattern_valid[below] >= 0:
                        differs |= ~va[pattern_valid[below]]
                    mask &= differs
            if mask == ZERO:
                continue
            for k in range(64):
                after[k] = outcome[p, k] if k < n else ZERO
            transpose(after)
            for lane in range(lanes):
                after[lane] |= top
            if stays:
                rest = mask
                while rest != ZERO:
                    lane = lowest(rest)
                    rest &= rest - ONE
                    edges += 1
                    insert(after[lane], np.uint32(first + lane), table, shift, queue, parents, counts)
            if pattern_budget[p] == 0:
                continue
            for k in range(n):
                vb[move_bit[k]] = outcome[p, k]
            for k in range(carried):
                vb[move_carried[k]] = outcome[p, n + k]
                vc[move_carried[k]] = outcome[p, n + k]
            scan(move_op, move_a, move_b, vb)
            for i in range(moves_count):
                g = vb[move_guard[i]] & mask
                if g == ZERO:
                    continue
                moved |= g
                for k in range(n):
                    vc[move_bit[k]] = outcome[p, k]
                for w in range(write_start[i], write_start[i + 1]):
                    node = move_bit[write_bit[w]]
                    vc[node] = (vc[node] & ~g) | (vb[write_node[w]] & g)
                rest = g
                while rest != ZERO:
                    lane = lowest(rest)
                    rest &= rest - ONE
                    key = after[lane]
                    for w in range(write_start[i], write_start[i + 1]):
                        bit = np.uint64(write_bit[w])
                        value = (vb[write_node[w]] >> np.uint64(lane)) & ONE
                        key = (key & ~(ONE << bit)) | (value << bit)
                    once[lane] = key
                    edges += 1
                    taken[i] += 1
                    insert(key, np.uint32(first + lane), table, shift, queue, parents, counts)
                if pattern_budget[p] < 2:
                    continue
                scan(move_op, move_a, move_b, vc)
                for j in range(moves_count):
                    if j <= i and not dependent[i, j]:
                        continue
                    rest = vc[move_guard[j]] & g
                    while rest != ZERO:
                        lane = lowest(rest)
                        rest &= rest - ONE
                        key = once[lane]
                        for w in range(write_start[j], write_start[j + 1]):
                            bit = np.uint64(write_bit[w])
                            value = (vc[write_node[w]] >> np.uint64(lane)) & ONE
                            key = (key & ~(ONE << bit)) | (value << bit)
                        edges += 1
                        insert(key, np.uint32(first + lane), table, shift, queue, parents, counts)
        still = mask_all & ~moved
        while still != ZERO:
            if stuck[0] < 0:
                stuck[0] = first + lowest(still)
            still &= still - ONE
            counts[3] += 1
        counts[0] += lanes
        counts[2] += edges
        covered += taken
    return PAUSED
