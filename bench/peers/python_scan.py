"""A netlist written out as one Python function: the quickest a Python program can take a scan."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from stockproof.netlist.model import Netlist, Op

__all__ = ["scan_by_name", "scan_in_place"]

TEXT: dict[Op, Callable[[str, str], str]] = {
    Op.NOT: lambda a, b: f"not {a}",
    Op.AND: lambda a, b: f"{a} and {b}",
    Op.OR: lambda a, b: f"{a} or {b}",
    Op.XOR: lambda a, b: f"{a} != {b}",
}


def scan_in_place(program: Iterable[tuple[int, int, int]]) -> Callable[[list[bool]], None]:
    """Give a function that evaluates every node of a program into a list that holds inputs and memory already."""
    rows = list(program)
    lines, local = [], {}
    for k, (op, a, b) in enumerate(rows):
        if op in TEXT:
            left, right = (local.get(node, f"values[{node}]") for node in (a, b))
            local[k] = f"v{k}"
            lines.append(f"    v{k} = values[{k}] = {TEXT[Op(op)](left, right)}")
    return _made(["def scan(values):", *(lines or ["    pass"])])


def scan_by_name(netlist: Netlist) -> Callable[..., Any]:
    """Give a function from inputs and remembered bits by name to the value of every node and the bits to come."""
    lines = []
    for k, (op, a, b) in enumerate(netlist.rows):
        if op == Op.CONST:
            text = str(a == 1)
        elif op == Op.INPUT:
            text = f"inputs[{netlist.inputs[a].name!r}]"
        elif op == Op.MEMORY:
            text = f"memory[{netlist.memories[a].name!r}]"
        else:
            text = TEXT[Op(op)](f"v{a}", f"v{b}")
        lines.append(f"    v{k} = {text}")
    after = ", ".join(f"{m.name!r}: v{m.next}" for m in netlist.memories)
    values = ", ".join(f"v{k}" for k in range(len(netlist)))
    return _made(["def scan(inputs, memory):", *lines, f"    return [{values}], {{{after}}}"])


def _made(lines: list[str]) -> Callable[..., Any]:
    space: dict[str, Any] = {}
    exec("\n".join(lines), space)
    found: Callable[..., Any] = space["scan"]
    return found
