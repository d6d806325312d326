"""The exhaustive breadth-first search: 64 states at a time, one fixed compiled loop for every system.

States are words in an open-addressing table; the queue of all states found, in order, with the number of each one's
parent, is at once the list to work through and the way back to a shortest story.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
from llvmlite import ir  # type: ignore[import-untyped]
from numba import njit, types
from numba.extending import intrinsic

__all__ = ["DONE", "ENOUGH", "FULL", "PAUSED", "rehash", "search", "transpose"]

Words = npt.NDArray[np.uint64]

#: Why `search` came back: nothing left to explore, no room left, its share of batches done, or all found.
DONE, FULL, PAUSED, ENOUGH = 0, 1, 2, 3
#: Fibonacci hashing: 2**64 over the golden ratio (Knuth, The Art of Computer Programming, vol. 3, 6.4).
GOLDEN = np.uint64(0x9E3779B97F4A7C15)
#: States noted just before, which most steps lead back to: as many as the processor's nearest memory holds.
RECENT_SHIFT = np.uint64(64 - 11)
RECENT = 1 << 11
#: States noted before they are put in together.
NOTED = 512
#: Where a scan changes no more bits than this, they are changed one by one.
FEW = 10
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
def insert_all(
    keys: Words,
    from_: Any,
    many: int,
    home: Words,
    table: Words,
    shift: np.uint64,
    queue: Words,
    parents: Any,
    counts: Any,
) -> None:
    """Put states into table and queue unless they are known; counts[1] is the length of the queue.

    The first pass only looks at every state's home place: reads that do not wait for one another hide the time that
    memory takes. What is known there stays known, since nothing is ever taken out.
    """
    for k in range(many):
        home[k] = table[(keys[k] * GOLDEN) >> shift]
    last = np.uint64(table.size - 1)
    for k in range(many):
        key = keys[k]
        if home[k] == key:
            continue
        place = (key * GOLDEN) >> shift
        while True:
            there = table[place]
            if there == key:
                break
            if there == ZERO:
                table[place] = key
                queue[counts[1]] = key
                parents[counts[1]] = from_[k]
                counts[1] += 1
                break
            place = (place + ONE) & last


@njit(cache=True)  # type: ignore[untyped-decorator]
def offer(key: np.uint64, parent: int, recent: Words, keys: Words, from_: Any, many: int) -> int:
    """Note a state to be put in, unless it was noted just before; gives how many are noted."""
    place = (key * GOLDEN) >> RECENT_SHIFT
    if recent[place] == key:
        return many
    recent[place] = key
    keys[many] = key
    from_[many] = parent
    return many + 1


@njit(cache=True)  # type: ignore[untyped-decorator]
def rehash(queue: Words, count: int, table: Words, shift: np.uint64) -> None:
    """Fill a fresh table with the states of the queue."""
    last = np.uint64(table.size - 1)
    for k in range(count):
        place = (queue[k] * GOLDEN) >> shift
        while table[place] != ZERO:
            place = (place + ONE) & last
        table[place] = queue[k]


@intrinsic  # type: ignore[untyped-decorator]
def lowest(typing: Any, word: Any) -> Any:
    """Give the number of the lowest set bit of a word that has one."""

    def made(context: Any, builder: Any, signature: Any, values: Any) -> Any:
        return builder.cttz(values[0], ir.Constant(ir.IntType(1), 1))

    return types.int64(types.uint64), made


@njit(cache=True)  # type: ignore[untyped-decorator]
def alike(op: Any, a: Any, b: Any, both: Words, one: Words, second: Any, values: Words) -> None:
    """Set a program down as operations of one form, so that evaluating it needs no branch.

    Every operation is ((x and y) and both) xor ((x xor y) and one): conjunction takes the first term, exclusive
    disjunction the second, disjunction both; negation is exclusive disjunction with the last word, which is all ones.
    """
    ones = values.size - 1
    values[ones] = ~ZERO
    for i in range(op.size):
        if op[i] == 0 and a[i] == 1:
            values[i] = ~ZERO
        second[i] = ones if op[i] == 3 else b[i]
        both[i] = ~ZERO if op[i] == 4 or op[i] == 5 else ZERO
        one[i] = ZERO if op[i] == 4 else ~ZERO


@njit(cache=True)  # type: ignore[untyped-decorator]
def evaluate(order: Any, first: int, last: int, a: Any, second: Any, both: Words, one: Words, values: Words) -> None:
    """Evaluate the operations that stand from `first` to `last` in `order`."""
    for k in range(first, last):
        i = order[k]
        x, y = values[a[i]], values[second[i]]
        values[i] = ((x & y) & both[i]) ^ ((x ^ y) & one[i])


@njit(cache=True)  # type: ignore[untyped-decorator]
def orders(op: Any, a: Any, b: Any, inputs: Any, patterns: Any, start: Any) -> Any:
    """Give for each pattern the operations that can come out otherwise than without any event; for pattern 0 all.

    Fills `start`: those of pattern p stand from start[p] to start[p + 1], those that wait for no other first, so that
    the processor works on several at once.
    """
    level = np.zeros(op.size, np.int64)
    reached = np.zeros(op.size, np.uint64)
    for k in range(inputs.size):
        reached[inputs[k]] |= ONE << np.uint64(min(k, 63))  # events past 63 share a bit: that only adds operations
    for i in range(op.size):
        if op[i] >= 3:
            other = a[i] if op[i] == 3 else b[i]
            reached[i] = reached[a[i]] | reached[other]
            level[i] = 1 + max(level[a[i]], level[other])
    by_level = np.argsort(level, kind="mergesort")
    found = np.zeros(patterns.shape[0] * op.size, np.uint32)
    many = 0
    for p in range(patterns.shape[0]):
        start[p] = many
        events = ZERO
        for k in range(inputs.size):
            if patterns[p, k]:
                events |= ONE << np.uint64(min(k, 63))
        for i in by_level:
            if op[i] >= 3 and (p == 0 or reached[i] & events != ZERO):
                found[many] = i
                many += 1
    start[patterns.shape[0]] = many
    return found[:many].copy()


@njit(cache=True)  # type: ignore[untyped-decorator]
def follow(plain: Words, base: Words, outcome: Words, mask: np.uint64, n: int, top: np.uint64, after: Words) -> None:
    """Give the state after the scan in every lane of the mask, from what it is without an event.

    `plain` are the states after pattern 0 lane by lane, `base` and `outcome` its bits and those of this pattern.
    """
    changed = 0
    for k in range(n):
        if (base[k] ^ outcome[k]) & mask != ZERO:
            changed += 1
    if changed > FEW:
        for k in range(64):
            after[k] = outcome[k] if k < n else ZERO
        transpose(after)
        for lane in range(64):
            after[lane] |= top
        return
    for lane in range(64):
        after[lane] = plain[lane]
    for k in range(n):
        rest = (base[k] ^ outcome[k]) & mask
        while rest != ZERO:
            after[lowest(rest)] ^= ONE << np.uint64(k)
            rest &= rest - ONE


@njit(cache=True, nogil=True)  # type: ignore[untyped-decorator]
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
    va, plain_values = np.zeros(scan_op.size + 1, np.uint64), np.zeros(scan_op.size + 1, np.uint64)
    vb, vc = np.zeros(move_op.size + 1, np.uint64), np.zeros(move_op.size + 1, np.uint64)
    both_a, one_a = np.zeros(scan_op.size, np.uint64), np.zeros(scan_op.size, np.uint64)
    both_b, one_b = np.zeros(move_op.size, np.uint64), np.zeros(move_op.size, np.uint64)
    second_a, second_b = np.zeros(scan_op.size, np.uint32), np.zeros(move_op.size, np.uint32)
    alike(scan_op, scan_a, scan_b, both_a, one_a, second_a, va)
    alike(move_op, move_a, move_b, both_b, one_b, second_b, vb)
    alike(move_op, move_a, move_b, both_b, one_b, second_b, vc)
    start_a = np.zeros(patterns.shape[0] + 1, np.int64)
    order_a = orders(scan_op, scan_a, scan_b, scan_pattern, patterns, start_a)
    start_b = np.zeros(2, np.int64)
    order_b = orders(move_op, move_a, move_b, move_carried[:0], patterns[:1, :0], start_b)
    keys = np.zeros(64, np.uint64)
    after, plain = np.zeros(64, np.uint64), np.zeros(64, np.uint64)
    once = np.zeros(64, np.uint64)
    state = np.zeros(64, np.uint64)
    outcome = np.zeros((patterns.shape[0], n + carried), np.uint64)
    recent = np.zeros(RECENT, np.uint64)
    noted, noted_from, home = np.zeros(NOTED, np.uint64), np.zeros(NOTED, np.uint32), np.zeros(NOTED, np.uint64)
    many = 0
    most = min(queue.size, 3 * (table.size // 4))
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
            insert_all(noted, noted_from, many, home, table, shift, queue, parents, counts)
            many = 0
            if counts[1] + slack > most:
                # come again to this batch with more room; its states are known then, its steps not yet counted
                return FULL
            if p == 1:
                plain_values[:] = va
            elif p > 1:
                for k in range(start_a[p - 1], start_a[p]):
                    va[order_a[k]] = plain_values[order_a[k]]
            for k in range(scan_pattern.size):
                va[scan_pattern[k]] = ~ZERO if patterns[p, k] else ZERO
            evaluate(order_a, start_a[p], start_a[p + 1], scan_a, second_a, both_a, one_a, va)
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
            if p == 0:
                for k in range(64):
                    plain[k] = outcome[0, k] if k < n else ZERO
                transpose(plain)
                for lane in range(64):
                    plain[lane] |= top
            follow(plain, outcome[0], outcome[p], mask, n, top, after)
            if stays:
                rest = mask
                while rest != ZERO:
                    lane = lowest(rest)
                    rest &= rest - ONE
                    edges += 1
                    many = offer(after[lane], first + lane, recent, noted, noted_from, many)
                    if many == NOTED:
                        insert_all(noted, noted_from, many, home, table, shift, queue, parents, counts)
                        many = 0
            if pattern_budget[p] == 0:
                continue
            for k in range(n):
                vb[move_bit[k]] = outcome[p, k]
            for k in range(carried):
                vb[move_carried[k]] = outcome[p, n + k]
                vc[move_carried[k]] = outcome[p, n + k]
            evaluate(order_b, 0, order_b.size, move_a, second_b, both_b, one_b, vb)
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
                    many = offer(key, first + lane, recent, noted, noted_from, many)
                    if many == NOTED:
                        insert_all(noted, noted_from, many, home, table, shift, queue, parents, counts)
                        many = 0
                if pattern_budget[p] < 2:
                    continue
                evaluate(order_b, 0, order_b.size, move_a, second_b, both_b, one_b, vc)
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
                        many = offer(key, first + lane, recent, noted, noted_from, many)
                        if many == NOTED:
                            insert_all(noted, noted_from, many, home, table, shift, queue, parents, counts)
                            many = 0
        insert_all(noted, noted_from, many, home, table, shift, queue, parents, counts)
        many = 0
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
