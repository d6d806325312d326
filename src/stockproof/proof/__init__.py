"""Proves a brief: runs the rooms in order, turns promises into verdicts, keeps the ledger."""

from stockproof.proof.check import read_installation
from stockproof.proof.model import Measure, State, Verdict
from stockproof.proof.prove import FULL, QUICK, WITH_FAULTS, Proof, prove, rehearse
from stockproof.proof.rooms import Rooms

__all__ = [
    "FULL",
    "QUICK",
    "WITH_FAULTS",
    "Measure",
    "Proof",
    "Rooms",
    "State",
    "Verdict",
    "prove",
    "read_installation",
    "rehearse",
]
