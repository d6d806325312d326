"""The yard room: a layout that is computed on its site, checked rule by rule, counted and drawn."""

from stockproof.yard.layout import lay_out
from stockproof.yard.model import Finding, Yard, YardAsk

__all__ = ["Finding", "Yard", "YardAsk", "lay_out"]
