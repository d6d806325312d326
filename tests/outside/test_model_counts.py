"""Reachable states and steps of published models, through the production search.

Dining philosophers (E. W. Dijkstra, *Hierarchical ordering of sequential processes*, 1971): each takes the left fork,
then the right: 3^N - 1 states and one deadlock, counted alike by SPIN 6.5.2. Taking both forks at once: Lucas numbers
(closed form: the eaters are an independent set of a circle). Jugs of 3 and 5 litres; wolf, goat and cabbage with the
unsafe states pruned (10 states: textbook); Peterson's lock (G. L. Peterson, *Myths about the mutual exclusion
problem*, 1981); N independent gates of three positions (closed form).
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import pytest

from stockproof.logic.explore import explore
from stockproof.logic.system import PlainMove, System, from_moves
from stockproof.netlist.expression import FALSE, TRUE, And, Const, Expression, Name, Not


def both(*terms: Expression) -> Expression:
    return And(terms) if len(terms) > 1 else terms[0]


def philosophers(count: int) -> System:
    """Bits: `l` holds the left fork, `r` the right one. Left is taken first, and put down first after eating."""
    bits = [f"{c}{k}" for k in range(count) for c in "lr"]
    moves = []
    for k in range(count):
        left, right = Name(f"l{k}"), Name(f"r{k}")
        left_is_free, right_is_free = ~Name(f"r{(k - 1) % count}"), ~Name(f"l{(k + 1) % count}")
        moves += [
            PlainMove("take left", both(~left, ~right, left_is_free), {f"l{k}": TRUE}),
            PlainMove("take right", both(left, ~right, right_is_free), {f"r{k}": TRUE}),
            PlainMove("put left down", both(left, right), {f"l{k}": FALSE}),
            PlainMove("put right down", both(~left, right), {f"r{k}": FALSE}),
        ]
    return from_moves(bits, [0], moves)


@pytest.mark.parametrize(
    ("count", "edges"),
    list(zip(range(2, 11), (10, 51, 212, 805, 2910, 10199, 34984, 118089, 393650), strict=True)),
)
def test_dining_philosophers(count: int, edges: int) -> None:
    found = explore(philosophers(count))
    assert (found.states, found.edges, found.deadlocks) == (3**count - 1, edges, 1)
    assert found.complete


@pytest.mark.parametrize(
    ("count", "states", "edges"),
    [(3, 4, 6), (4, 7, 16), (5, 11, 30), (6, 18, 60), (7, 29, 112), (8, 47, 208), (9, 76, 378), (10, 123, 680)],
)
def test_philosophers_who_take_both_forks_at_once(count: int, states: int, edges: int) -> None:
    moves = []
    for k in range(count):
        here, left, right = Name(f"e{k}"), Name(f"e{(k - 1) % count}"), Name(f"e{(k + 1) % count}")
        moves.append(PlainMove("eat", both(~here, ~left, ~right), {f"e{k}": TRUE}))
        moves.append(PlainMove("think", here, {f"e{k}": FALSE}))
    found = explore(from_moves([f"e{k}" for k in range(count)], [0], moves))
    assert (found.states, found.edges, found.deadlocks) == (states, edges, 0)


def enumerated(bits: int, start: int, states: Sequence[int], steps: Callable[[int], Sequence[int]]) -> System:
    """A system from a successor function: one move for every (state, way), guarded by the very state."""
    names = [f"b{k}" for k in range(bits)]

    def literal(value: int, k: int) -> Expression:
        return Name(names[k]) if value >> k & 1 else Not(Name(names[k]))

    moves = []
    for state in states:
        guard = both(*(literal(state, k) for k in range(bits)))
        for target in steps(state):
            moves.append(PlainMove("", guard, {names[k]: Const(bool(target >> k & 1)) for k in range(bits)}))
    return from_moves(names, [start], moves)


def test_jugs_of_three_and_five_litres() -> None:
    def steps(state: int) -> list[int]:
        small, large = state & 3, state >> 2
        into_large, into_small = min(small, 5 - large), min(large, 3 - small)
        ways = []
        if small < 3:
            ways.append((3, large))
        if large < 5:
            ways.append((small, 5))
        if small:
            ways += [(0, large)]
        if large:
            ways += [(small, 0)]
        if into_large:
            ways.append((small - into_large, large + into_large))
        if into_small:
            ways.append((small + into_small, large - into_small))
        return [a | b << 2 for a, b in ways]

    found = explore(enumerated(5, 0, [a | b << 2 for a in range(4) for b in range(6)], steps))
    assert (found.states, found.edges, found.deadlocks) == (16, 58, 0)


def test_wolf_goat_and_cabbage() -> None:
    def unsafe(state: int) -> bool:
        man, wolf, goat, cabbage = (state >> k & 1 for k in range(4))
        return goat != man and goat in (wolf, cabbage)

    def steps(state: int) -> list[int]:
        side = state & 1
        ways = [state ^ 1] + [state ^ 1 ^ (1 << k) for k in (1, 2, 3) if state >> k & 1 == side]
        return [way for way in ways if not unsafe(way)]

    found = explore(enumerated(4, 0, range(16), steps))
    assert (found.states, found.edges, found.deadlocks) == (10, 20, 0)


def test_petersons_lock() -> None:
    """Four places each: idle, wants (flag set), waits (turn given away), inside. Two bits a process and the turn."""

    def steps(state: int) -> list[int]:
        place, turn = [state & 3, state >> 2 & 3], state >> 4
        ways = []
        for me in (0, 1):
            other, after, given = place[1 - me], place.copy(), turn
            if place[me] == 0:
                after[me] = 1
            elif place[me] == 1:
                after[me], given = 2, 1 - me
            elif place[me] == 2:
                if other != 0 and turn != me:
                    continue
                after[me] = 3
            else:
                after[me] = 0
            ways.append(after[0] | after[1] << 2 | given << 4)
        return ways

    system = enumerated(5, 0, range(32), steps)
    found = explore(system)
    assert (found.states, found.edges, found.deadlocks) == (20, 34, 0)
    assert not any((int(key) & 15) == 15 for key in found.queue), "both inside"


def test_independent_gates_of_three_positions() -> None:
    moves = []
    for k in range(5):
        closed, opened = Name(f"c{k}"), Name(f"o{k}")
        moves.append(PlainMove("open", ~opened, {f"c{k}": FALSE, f"o{k}": ~closed}))
        moves.append(PlainMove("close", ~closed, {f"c{k}": ~opened, f"o{k}": FALSE}))
    bits = [f"{c}{k}" for k in range(5) for c in "co"]
    start = sum(1 << 2 * k for k in range(5))
    found = explore(from_moves(bits, [start], moves))
    assert (found.states, found.edges, found.deadlocks) == (243, 1620, 0)


def test_the_shortest_story_has_the_length_of_the_shortest_path() -> None:
    """Five gates, all open: ten single moves from all closed, however the search goes about it."""
    moves, opened = [], []
    for k in range(5):
        moves.append(PlainMove("open", ~Name(f"o{k}"), {f"c{k}": FALSE, f"o{k}": ~Name(f"c{k}")}))
        moves.append(PlainMove("close", ~Name(f"c{k}"), {f"c{k}": ~Name(f"o{k}"), f"o{k}": FALSE}))
        opened.append(Name(f"o{k}"))
    bits = [f"{c}{k}" for k in range(5) for c in "co"]
    system = from_moves(bits, [sum(1 << 2 * k for k in range(5))], moves, {"all open": And(tuple(opened))})
    found = explore(system)
    assert found.first_bad[0] is not None
    assert len(found.path(found.first_bad[0][0])) == 11


def test_a_memory_cap_makes_the_answer_incomplete_and_says_so() -> None:
    found = explore(philosophers(10), cap_bytes=300_000, first_size=1 << 12)
    assert not found.complete
    assert 0 < found.states < 3**10 - 1


def test_every_lane_and_order_gives_the_same_count() -> None:
    """Counts do not depend on how many states share a batch: start from every reachable state at once."""
    once = explore(philosophers(5))
    again = explore(philosophers(5), starts=once.queue)
    assert (again.states, again.edges) == (once.states, once.edges)
    assert set(itertools.chain(again.queue.tolist())) == set(once.queue.tolist())
