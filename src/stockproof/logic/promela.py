"""Writes a transition system in Promela, so that an independent model checker can count and judge it.

One process, one atomic step a turn of the loop: choose a pattern, evaluate the scan, take the moves its budget allows.
Scratch variables are cleared at the end of the step, so a stored state is a state of the system and nothing else.

References
----------
G. J. Holzmann, *The SPIN Model Checker*, 2003, for the language.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stockproof.logic.system import Program, System

__all__ = ["promela"]


def promela(system: System, bad: str = "") -> str:
    """Give the system as Promela text; with `bad`, reaching that bad state violates an assertion."""
    return "\n".join(_lines(system, bad)) + "\n"


def _lines(system: System, bad: str) -> Iterator[str]:
    yield "/* Written from the same arrays that the checker of Stockproof explores. */"
    yield from (f"/* s[{k}] {name} */" for k, name in enumerate(system.bits))
    yield f"bit s[{len(system.bits)}];"
    yield f"bit v[{max(1, len(system.scan.op))}];"
    yield f"bit w[{max(1, len(system.moves.op))}];"
    yield "short p; byte left;"
    yield from _inline("scan", [*_inputs(system), *_evaluated(system.scan, "v")])
    yield from _inline("moves", [*_move_inputs(system), *_evaluated(system.moves, "w")])
    yield from _inline(
        "clear", [*_cleared("v", len(system.scan.op)), *_cleared("w", len(system.moves.op)), "p = 0; left = 0;"]
    )
    yield "active proctype line() {"
    start = " ".join(f"s[{k}] = 1;" for k in range(len(system.bits)) if system.start[0] >> k & 1)
    yield f"  d_step {{ {start or 'skip'} }};"
    yield "step:"
    yield "  atomic {"
    yield "    if"
    yield from (f"    :: p = {k}" for k in range(len(system.patterns)))
    yield "    fi;"
    yield "    d_step { scan() };"
    yield "    if"
    yield from _invalid(system)
    yield "    :: else -> skip"
    yield "    fi;"
    if bad:
        yield f"    assert(v[{system.scan_bad[system.bad_names.index(bad)]}] == 0);"
    yield "    d_step {"
    yield from (f"      s[{k}] = v[{node}];" for k, node in enumerate(system.scan_next))
    yield from _budgets(system)
    yield "    };"
    yield "    do"
    yield from _ways_on(system)
    yield "    od;"
    yield "    skip;"
    yield "    d_step { clear() };"
    yield "    goto step"
    yield "  }"
    yield "}"


def _inline(name: str, statements: Sequence[str]) -> Iterator[str]:
    yield f"inline {name}() {{"
    yield from (f"  {statement}" for statement in statements)
    yield "}"


def _inputs(system: System) -> Iterator[str]:
    yield from (f"v[{node}] = s[{k}];" for k, node in enumerate(system.scan_bit))
    for column, node in enumerate(system.scan_pattern):
        chosen = [f"p == {k}" for k in range(len(system.patterns)) if system.patterns[k, column]]
        yield f"v[{node}] = ({' || '.join(chosen)});"


def _move_inputs(system: System) -> Iterator[str]:
    yield from (f"w[{node}] = s[{k}];" for k, node in enumerate(system.move_bit))
    yield from (f"w[{b}] = v[{a}];" for a, b in zip(system.scan_carried, system.move_carried, strict=True))


def _evaluated(program: Program, name: str) -> Iterator[str]:
    for node, (op, a, b) in enumerate(zip(program.op.tolist(), program.a.tolist(), program.b.tolist(), strict=True)):
        match op:
            case 0:
                yield f"{name}[{node}] = {a};"
            case 3:
                yield f"{name}[{node}] = 1 - {name}[{a}];"
            case 4:
                yield f"{name}[{node}] = {name}[{a}] & {name}[{b}];"
            case 5:
                yield f"{name}[{node}] = {name}[{a}] | {name}[{b}];"
            case 6:
                yield f"{name}[{node}] = {name}[{a}] ^ {name}[{b}];"


def _cleared(name: str, count: int) -> Iterator[str]:
    yield from (f"{name}[{node}] = 0;" for node in range(count))


def _invalid(system: System) -> Iterator[str]:
    """A pattern that cannot happen here ends the step without a change."""
    for k, node in enumerate(system.pattern_valid):
        if node >= 0:
            yield f"    :: (p == {k} && v[{node}] == 0) -> d_step {{ clear() }}; goto step"


def _budgets(system: System) -> Iterator[str]:
    """How many moves may follow; a pattern outside the larger groups has none."""
    for budget in sorted({int(b) for b in system.pattern_budget if b > 0}):
        chosen = [f"p == {k}" for k, b in enumerate(system.pattern_budget) if b == budget]
        yield f"      if :: ({' || '.join(chosen)}) -> left = {budget} :: else -> skip fi;"


def _ways_on(system: System) -> Iterator[str]:
    """End the step, or take one more move."""
    if system.stays:
        yield "    :: break"
    else:
        yield "    :: left == 0 -> break"
    yield "    :: left > 0 -> d_step { moves() };"
    yield "       if"
    for m, guard in enumerate(system.move_guard):
        writes = "; ".join(
            f"s[{system.write_bit[w]}] = w[{system.write_node[w]}]"
            for w in range(system.write_start[m], system.write_start[m + 1])
        )
        name = system.move_names[m]
        yield f"       :: w[{guard}] -> d_step {{ {writes}; left-- }} /* {name} */"
    if system.stays:
        yield "       :: else -> break"
    yield "       fi"
