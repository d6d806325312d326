"""Stock flow: animals, crew and the running control logic in time; rate, days, waiting and what limits."""

from stockproof.flow.answers import Machine, Other, Study, Variant, people_needed, study
from stockproof.flow.assumptions import Assumed, assumptions
from stockproof.flow.clock import Clock, clock_s, head_rates, treated
from stockproof.flow.day import DayPlan, day_plan
from stockproof.flow.intervals import (
    Interval,
    bound_of_a_day,
    mean_interval,
    paired_difference,
    prediction_interval,
)
from stockproof.flow.live_words import events
from stockproof.flow.model import Law, Line, Mob
from stockproof.flow.prepare import Given, prepare
from stockproof.flow.publishing import publish, publish_against_today, publish_day, publish_unwatched
from stockproof.flow.run import FlowResult, Progress, simulate, warm
from stockproof.flow.stations import (
    CrewUse,
    Station,
    Waits,
    crew_use,
    cycles_per_head,
    stations,
    waits,
    ways_taken,
    what_limits,
)
from stockproof.flow.tapped import TapRate, head_rate
from stockproof.flow.trace import Event, Stay, Stroke, motion_log, stays, strokes
from stockproof.flow.unwatched import Unwatched, unwatched

__all__ = [
    "Assumed",
    "Clock",
    "CrewUse",
    "DayPlan",
    "Event",
    "FlowResult",
    "Given",
    "Interval",
    "Law",
    "Line",
    "Machine",
    "Mob",
    "Other",
    "Progress",
    "Station",
    "Stay",
    "Stroke",
    "Study",
    "TapRate",
    "Unwatched",
    "Variant",
    "Waits",
    "assumptions",
    "bound_of_a_day",
    "clock_s",
    "crew_use",
    "cycles_per_head",
    "day_plan",
    "events",
    "head_rate",
    "head_rates",
    "mean_interval",
    "motion_log",
    "paired_difference",
    "people_needed",
    "prediction_interval",
    "prepare",
    "publish",
    "publish_against_today",
    "publish_day",
    "publish_unwatched",
    "simulate",
    "stations",
    "stays",
    "strokes",
    "study",
    "treated",
    "unwatched",
    "waits",
    "warm",
    "ways_taken",
    "what_limits",
]
