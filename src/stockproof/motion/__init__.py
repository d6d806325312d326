"""Oil and motion law: how long each powered motion takes, what oil it draws, and how the pump refills it.

Ground that `power` fills (from the circuit) and `flow` steps (compiled, between events). It knows no
cylinders, valves or animals: only times, volumes and one store of oil.
"""

from stockproof.motion.kernel import (
    advance,
    begin,
    new_state,
    part_arrives_s,
    pressure_pa,
    set_power,
    stop,
    stored_m3,
)
from stockproof.motion.laws import MotionLaws, constant_laws
from stockproof.motion.log import MotionLog
from stockproof.motion.state import LawArrays, OilState

__all__ = [
    "LawArrays",
    "MotionLaws",
    "MotionLog",
    "OilState",
    "advance",
    "begin",
    "constant_laws",
    "new_state",
    "part_arrives_s",
    "pressure_pa",
    "set_power",
    "stop",
    "stored_m3",
]
