"""What a build costs, what it saves against today's case, and when it pays: price, labour, partial budget, payback."""

from stockproof.money.budgeting import budget
from stockproof.money.model import FLAGS, Budget, Cases, Energy, Price, Rate
from stockproof.money.pricing import GROUPS, price
from stockproof.money.publishing import publish
from stockproof.money.running import nameplate_energy

__all__ = [
    "FLAGS",
    "GROUPS",
    "Budget",
    "Cases",
    "Energy",
    "Price",
    "Rate",
    "budget",
    "nameplate_energy",
    "price",
    "publish",
]
