"""Hydraulics and its electrical or engine drive: the circuit, its motion law for flow, and all answers.

Start with `circuit(installation)` and `prepare(circuit)`; then `laws` before flow, `solve` any time, `duty`
with flow's log of motions.
"""

from stockproof.power.card import ClassNeed
from stockproof.power.circuit import circuit
from stockproof.power.components import Component, components
from stockproof.power.diagram import diagram
from stockproof.power.duty import DutyResult
from stockproof.power.model import Circuit
from stockproof.power.prepare import Prepared, prepare
from stockproof.power.publishing import publish
from stockproof.power.publishing_rows import publish_duty
from stockproof.power.solve import PowerResult, duty, laws, solve
from stockproof.power.times import BurstStep, worst_burst

__all__ = [
    "BurstStep",
    "Circuit",
    "ClassNeed",
    "Component",
    "DutyResult",
    "PowerResult",
    "Prepared",
    "circuit",
    "components",
    "diagram",
    "duty",
    "laws",
    "prepare",
    "publish",
    "publish_duty",
    "solve",
    "worst_burst",
]
