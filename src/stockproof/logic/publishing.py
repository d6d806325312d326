"""Sets the room's results down in a ledger as figures; it computes nothing new."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockproof.figures import Ledger
from stockproof.netlist.model import Netlist

if TYPE_CHECKING:  # the rooms behind them are heavy, and only the shape of their answers is read here
    from stockproof.logic.findings import Verification
    from stockproof.logic.relief import Relief
    from stockproof.logic.settle import Settling

__all__ = ["publish", "publish_check"]

LOWERED = "counted in the one netlist that the exported code, the check and the rehearsal read"
EXPLORED = "every state reachable within the bounds, breadth first, sixty-four at once"
STRUCK = "each single fault strikes at every state that is reachable without it"


def publish(netlist: Netlist, ledger: Ledger) -> None:
    """Set down how large the control program is."""
    for name, count, words in (
        ("motions", len(netlist.motions), "motions the control drives"),
        ("inputs", len(netlist.inputs), "sensors and controls it reads"),
        ("memories", len(netlist.memories), "bits it remembers"),
        ("timers", len(netlist.timers), "timers it runs"),
        ("lamps", len(netlist.lamps), "lamps it lights"),
        ("nodes", len(netlist.op), "operations of one scan"),
    ):
        ledger.run(f"logic.{name}", float(count), "1", words, LOWERED)


def publish_check(checked: Verification, reliefs: Sequence[Relief], settling: Settling | None, ledger: Ledger) -> None:
    """Set down what the check found: states, properties by answer, single faults by effect, relief, settling."""
    from stockproof.logic.findings import Answer, FaultEffect
    from stockproof.logic.world import MOST_ANIMALS, MOST_PEOPLE

    bounds = (
        ledger.given("logic.bounds.animals", float(MOST_ANIMALS), "1", "animals at most in one scope", checked.bounds),
        ledger.given("logic.bounds.people", float(MOST_PEOPLE), "1", "people at most in one scope", checked.bounds),
    )
    states = []
    for finding in checked.findings:
        name, label = f"logic.property.{finding.property.code}.states", f"states looked at: {finding.property.title}"
        how = finding.property.by_design or EXPLORED
        states.append(ledger.run(name, float(finding.states), "1", label, how, bounds))
    most = max((finding.states for finding in checked.findings), default=0)
    ledger.run("logic.states", float(most), "1", "most states looked at for one bad state", EXPLORED, tuple(states))
    ledger.run("logic.properties", float(len(states)), "1", "bad states that were looked for", "counted one by one")
    answers = Counter(finding.answer for finding in checked.findings)
    for answer, words in (
        (Answer.HOLDS, "bad states that cannot be reached"),
        (Answer.REACHED, "bad states that can be reached"),
        (Answer.NOT_SHOWN, "bad states of which nothing is shown"),
    ):
        ledger.run(f"logic.answer.{answer.name.lower()}", float(answers[answer]), "1", words, EXPLORED, tuple(states))
    if checked.faults:
        effects = Counter(finding.effect for finding in checked.faults)
        for effect in FaultEffect:
            words = f"single faults: {effect.value}"
            ledger.run(f"logic.faults.{effect.name.lower()}", float(effects[effect]), "1", words, STRUCK, bounds)
    _relief(reliefs, ledger)
    if settling is not None and settling.scans is not None:
        label = "scans until the logic is at rest, its inputs held"
        ledger.run("logic.settling_scans", float(settling.scans), "1", label, settling.words)


def _relief(reliefs: Sequence[Relief], ledger: Ledger) -> None:
    if reliefs:
        how = "a game against plant, people, timers and one fault, solved backwards from the freed animal"
        forced = float(sum(relief.forced for relief in reliefs))
        label = "cases, without a fault and under each, in which one person can always free the animal"
        cases = ledger.run("logic.relief.cases", float(len(reliefs)), "1", "cases of relief and release", how)
        ledger.run("logic.relief.forced", forced, "1", label, how, (cases,))
