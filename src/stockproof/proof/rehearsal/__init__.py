"""Rehearsal: the installation as it is proved, run live in front of people, every refusal explained."""

from stockproof.proof.rehearsal.refusal import Refusal, Shown
from stockproof.proof.rehearsal.stage import Cast, Rehearsal, Staged, View, cast_of, sensors_of, stage

__all__ = ["Cast", "Refusal", "Rehearsal", "Shown", "Staged", "View", "cast_of", "sensors_of", "stage"]
