"""Rehearsal: the installation as it is proved, run live in front of people, every refusal explained."""

from stockproof.proof.rehearsal.places import inside
from stockproof.proof.rehearsal.refusal import Refusal, Shown
from stockproof.proof.rehearsal.stage import Cast, Rehearsal, Staged, View, cast_of, sensors_of, stage
from stockproof.proof.rehearsal.tale import Scene, act_out

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
    "inside",
    "sensors_of",
    "stage",
]
