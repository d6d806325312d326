"""The yard room: a layout that is computed on its site, checked rule by rule, counted and drawn."""

from stockproof.yard.check import check
from stockproof.yard.layout import lay_out
from stockproof.yard.model import Finding, Yard, YardAsk
from stockproof.yard.quantities import Quantities, quantities

__all__ = ["Finding", "Quantities", "Yard", "YardAsk", "check", "lay_out", "quantities"]
