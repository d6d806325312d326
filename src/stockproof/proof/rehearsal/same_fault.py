"""The same fault in a story and in the running rehearsal: which of its faults is which of the logic check's."""

from __future__ import annotations

from collections.abc import Iterable

from stockproof.flow.live import Trouble, TroubleKind
from stockproof.logic.faults import Fault, FaultKind

__all__ = ["instead_of", "same_fault"]

SAME = {
    FaultKind.STUCK_ON: (TroubleKind.SHOWS_YES, TroubleKind.STUCK_CLOSED),
    FaultKind.STUCK_OFF: (TroubleKind.SHOWS_NO, TroubleKind.STUCK_OPEN),
    FaultKind.VALVE_DRIVES: (TroubleKind.VALVE_DRIVES,),
    FaultKind.VALVE_DEAD: (TroubleKind.VALVE_DEAD,),
    FaultKind.LEAKS: (TroubleKind.CREEPS,),
}
#: Faults that come and go by themselves, which people strike and mend by hand in the running rehearsal.
INSTEAD = {
    FaultKind.INTERMITTENT: "Here nothing comes and goes by itself: let the sensor always show yes or no, and mend it "
    "at the moment you choose.",
    FaultKind.RESTART: "Here nothing comes and goes by itself: take the power off and mend it, and the controller "
    "starts anew.",
}


def same_fault(fault: Fault, troubles: Iterable[Trouble]) -> Trouble | None:
    """Give what strikes the running rehearsal as a fault strikes a story, None where nothing does."""
    kinds = SAME.get(fault.kind, ())
    return next((each for each in troubles if each.kind in kinds and each.target == fault.target), None)


def instead_of(fault: Fault) -> str:
    """Say what to do in the running rehearsal where it cannot be struck by the same fault."""
    return INSTEAD.get(fault.kind, "This fault cannot be struck in the running rehearsal.")
