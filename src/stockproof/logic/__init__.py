"""The control logic: assembled from the build, lowered to one netlist, checked."""

from stockproof.logic.assembly import Assembly, assemble
from stockproof.logic.devices import Device, DeviceMotion, DeviceSignal
from stockproof.logic.lower import lower

__all__ = ["Assembly", "Device", "DeviceMotion", "DeviceSignal", "assemble", "lower"]
