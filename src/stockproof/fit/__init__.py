"""Animals against machine, and each task's needs against build and crew."""

from stockproof.fit.assess import PERCENTILES, assess, race_head, required_share
from stockproof.fit.findings import CODES
from stockproof.fit.limits import EXISTING_RACE, clear_width_m
from stockproof.fit.model import (
    Animal,
    Finding,
    FitCheck,
    FitResult,
    GuideRow,
    Mend,
    MobFit,
    RaceHold,
    TaskPair,
    TaskRow,
)
from stockproof.fit.publishing import publish

__all__ = [
    "CODES",
    "EXISTING_RACE",
    "PERCENTILES",
    "Animal",
    "Finding",
    "FitCheck",
    "FitResult",
    "GuideRow",
    "Mend",
    "MobFit",
    "RaceHold",
    "TaskPair",
    "TaskRow",
    "assess",
    "clear_width_m",
    "publish",
    "race_head",
    "required_share",
]
