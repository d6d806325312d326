"""IEC 61131-3 Structured Text of a control program: function blocks, sequencers, and nothing a controller may lack.

Only TON, RS and R_TRIG of the standard's blocks are used, steps are integers, and no type or address of a maker.

References
----------
IEC 61131-3, *Programmable controllers - Part 3: Programming languages* (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from stockproof.logic.assembly import Assembly
from stockproof.logic.export.by_operations import code_by_operations
from stockproof.logic.export.by_rules import code_by_rules
from stockproof.logic.export.layout import INDENT, duration_literal
from stockproof.logic.export.model import SCAN_INTERVAL_S, Code, Pou, Variable
from stockproof.logic.export.names import DRAFT, comment, wrapped
from stockproof.logic.export.rules import Differs, Rulebook
from stockproof.netlist.model import Netlist

__all__ = ["code_of", "configuration_text", "structured_text"]


def code_of(netlist: Netlist, assembly: Assembly | None = None) -> Code:
    """Give a netlist's program in the form of its rules, or operation by operation where they are not at hand.

    The rules are used only if every one of them, lowered again, is the very node the netlist holds.
    """
    if assembly is not None:
        try:
            return code_by_rules(Rulebook(netlist, assembly))
        except Differs:
            return code_by_operations(netlist)
    return code_by_operations(netlist)


def structured_text(code: Code, heading: Iterable[str] = ()) -> str:
    """Give the program as text.

    Parameters
    ----------
    code : what to write
    heading : lines for the head, for example whose installation it is
    """
    lines = [line for text in (*heading, DRAFT) for line in wrapped(text)]
    for pou in code.pous:
        lines += ["", *_pou(pou)]
    return "\n".join(lines) + "\n"


def configuration_text(code: Code, addresses: Mapping[str, str], heading: Iterable[str] = ()) -> str:
    """Give the configuration that runs the program once a scan on inputs and outputs at proposed addresses.

    Parameters
    ----------
    addresses : mapping
        Address by dotted name of every input and output.
    """
    names = {**code.inputs, **code.outputs}
    lines = [line for text in (*heading, DRAFT) for line in wrapped(text)]
    lines += [*wrapped("All addresses are proposals: set them for the controller at hand."), "", "CONFIGURATION Line"]
    lines += ["VAR_GLOBAL", *(f"{INDENT}{word} AT {addresses[n]} : BOOL;" for n, word in names.items()), "END_VAR"]
    wires = [f"{word} := {word}" for word in code.inputs.values()]
    wires += [f"{word} => {word}" for word in code.outputs.values()]
    lines += ["RESOURCE Controller ON PLC"]
    lines += [f"{INDENT}TASK Scan(INTERVAL := {duration_literal(SCAN_INTERVAL_S)}, PRIORITY := 1);"]
    lines += [f"{INDENT}PROGRAM Run WITH Scan : {code.program.name}("]
    lines += [*(f"{INDENT * 2}{wire}," for wire in wires[:-1]), f"{INDENT * 2}{wires[-1]}", f"{INDENT});"]
    return "\n".join([*lines, "END_RESOURCE", "END_CONFIGURATION"]) + "\n"


def _pou(pou: Pou) -> Iterator[str]:
    yield from wrapped(pou.comment)
    yield f"{pou.kind} {pou.name}"
    for word, variables in (("VAR_INPUT", pou.inputs), ("VAR_OUTPUT", pou.outputs), ("VAR", pou.locals)):
        if variables:
            yield from (word, *(INDENT + _declared(variable) for variable in variables), "END_VAR")
    yield from pou.body
    yield f"END_{pou.kind}"


def _declared(variable: Variable) -> str:
    start = f" := {variable.start}" if variable.start else ""
    words = f" {comment(variable.comment)}" if variable.comment else ""
    return f"{variable.name} : {variable.type}{start};{words}"
