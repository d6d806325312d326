"""The one table of what the plant does: zones, parts, sensors and spaces."""

from stockproof.plant.compile import Described, compile_plant
from stockproof.plant.line import Line, describe
from stockproof.plant.model import Plant

__all__ = ["Described", "Line", "Plant", "compile_plant", "describe"]
