"""The control of one installation examined by itself: chosen single faults struck, rules weakened one at a time."""

from __future__ import annotations

from collections.abc import Callable

from stockproof.errors import Fault as InputFault
from stockproof.errors import InputError, nearest
from stockproof.logic.faults import Fault, single_faults
from stockproof.logic.findings import Verification
from stockproof.logic.relief import Relief
from stockproof.logic.trials import Trial, try_mutants
from stockproof.proof.machine import Control, check_control

__all__ = ["check_options", "check_struck", "weaken"]

GIB = 1 << 30
EVERY = "all"


def check_struck(
    control: Control, wanted: str, cap_gib: float, watch: Callable[[int, int], None]
) -> tuple[Verification, tuple[Relief, ...]]:
    """Check an installation's control, with the single faults whose name or sentence holds some words.

    Parameters
    ----------
    wanted : str
        Part of a fault's name (`stuck off entry.astride`) or sentence, `all`, or empty for no faults.

    Raises
    ------
    InputError
        No single fault of this installation has such a name.
    """
    if wanted and not any(_meant(fault, wanted) for fault in single_faults(control.netlist, control.plant)):
        names = [fault.name for fault in single_faults(control.netlist, control.plant)]
        mend = nearest(wanted, names) or f"for example {names[0]!r}; or {EVERY!r}"
        raise InputError(InputFault("is no single fault of this installation", got=repr(wanted), mend=mend))

    def strike(fault: Fault) -> bool:
        return _meant(fault, wanted)

    checked, reliefs, _ = check_control(
        control, bool(wanted), lambda what, share: None, int(cap_gib * GIB), strike, watch
    )
    return checked, reliefs


def check_options(story: int, out: bool, mutants: bool) -> None:
    """Refuse options that would say nothing beside one another.

    Raises
    ------
    InputError
        A folder without a story to draw, or one story together with weakened rules.
    """
    if out and not story:
        raise InputError(InputFault("--out draws one story", mend="say which by --story N"))
    if story and mutants:
        raise InputError(
            InputFault("--story tells one story alone", mend="leave out --mutants, or ask for it by itself")
        )


def weaken(control: Control, progress: Callable[[str, float], None]) -> tuple[Trial, ...]:
    """Weaken every rule and see what notices: the properties without a fault, then under every single one."""
    return try_mutants(control.assembly, control.plant, progress=progress)


def _meant(fault: Fault, wanted: str) -> bool:
    return wanted == EVERY or wanted.casefold() in f"{fault.name}\n{fault.sentence}".casefold()
