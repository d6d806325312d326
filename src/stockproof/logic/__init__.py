"""The control logic: assembled from the build, lowered to one netlist, checked.

What explores states brings a compiled kernel along and is loaded only when it is asked for.
"""

from typing import TYPE_CHECKING, Any

from stockproof.logic.assembly import Assembly, assemble
from stockproof.logic.devices import Device, DeviceMotion, DeviceSignal
from stockproof.logic.lower import lower
from stockproof.logic.publishing import publish, publish_check

if TYPE_CHECKING:
    from stockproof.logic.findings import Verification
    from stockproof.logic.relief import Relief, relief_and_release
    from stockproof.logic.settle import Settling, settles
    from stockproof.logic.trials import try_mutants
    from stockproof.logic.verification import verify

__all__ = [
    "Assembly",
    "Device",
    "DeviceMotion",
    "DeviceSignal",
    "Relief",
    "Settling",
    "Verification",
    "assemble",
    "lower",
    "publish",
    "publish_check",
    "relief_and_release",
    "settles",
    "try_mutants",
    "verify",
]

_LATER = {
    "Relief": "relief",
    "Settling": "settle",
    "Verification": "findings",
    "relief_and_release": "relief",
    "settles": "settle",
    "try_mutants": "trials",
    "verify": "verification",
}


def __getattr__(name: str) -> Any:
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_LATER[name]}"), name)
