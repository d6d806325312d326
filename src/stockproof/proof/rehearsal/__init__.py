"""Rehearsal: the installation as it is proved, run live in front of people, every refusal explained."""

from stockproof.proof.rehearsal.places import inside
from stockproof.proof.rehearsal.refusal import Refusal, Shown
from stockproof.proof.rehearsal.same_fault import instead_of, same_fault
from stockproof.proof.rehearsal.stage import Cast, Rehearsal, Staged, View, cast_of, sensors_of, stage
from stockproof.proof.rehearsal.tale import Scene, act_out, fault_in

__all__ = [
    "Cast",
    "Refusal",
    "Rehearsal",
    "Scene",
    "Shown",
    "Staged",
    "View",
    "act_out",
    "cast_of",
    "fault_in",
    "inside",
    "instead_of",
    "same_fault",
    "sensors_of",
    "stage",
]
