"""Laws of durations and sizes: what is drawn, with its exact mean and spread."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from stockproof.flow import draws

__all__ = [
    "Law",
    "constant",
    "empirical",
    "erlang",
    "exponential",
    "gamma",
    "lognormal",
    "normal",
    "uniform_between",
]


@dataclass(frozen=True, slots=True)
class Law:
    """A law of a duration or size: its kind, two parameters, and the uncertain factor that scales it.

    Use the constructors below; `factor` names an `Uncertain` of the line (empty: none).
    """

    kind: int
    a: float
    b: float = 0.0
    count: int = 0
    values: tuple[float, ...] = ()
    factor: str = ""

    @property
    def mean(self) -> float:
        """Exact mean. [unit of the draw] (The cut of a normal law at zero is left out.)"""
        if self.kind == draws.LOGNORMAL:
            return math.exp(self.a + self.b**2 / 2)
        if self.kind == draws.UNIFORM:
            return (self.a + self.b) / 2
        if self.kind == draws.GAMMA:
            return self.a * self.b
        if self.kind == draws.EMPIRICAL:
            return math.fsum(self.values) / len(self.values)
        return self.a

    @property
    def cv(self) -> float:
        """Exact coefficient of variation (SD / mean). [1]"""
        if self.kind == draws.EXPONENTIAL:
            return 1.0
        if self.kind == draws.LOGNORMAL:
            return math.sqrt(math.expm1(self.b**2))
        if self.kind == draws.UNIFORM:
            return (self.b - self.a) / math.sqrt(3) / (self.a + self.b)
        if self.kind == draws.NORMAL:
            return self.b / self.a
        if self.kind == draws.GAMMA:
            return 1 / math.sqrt(self.a)
        if self.kind == draws.ERLANG:
            return 1 / math.sqrt(self.count)
        if self.kind == draws.EMPIRICAL:
            mean = self.mean
            return math.sqrt(math.fsum((value - mean) ** 2 for value in self.values) / len(self.values)) / mean
        return 0.0

    def scaled(self, share: float) -> Law:
        """The same law with every value multiplied."""
        if self.kind == draws.LOGNORMAL:
            return replace(self, a=self.a + math.log(share))
        if self.kind == draws.GAMMA:
            return replace(self, b=self.b * share)
        if self.kind in (draws.UNIFORM, draws.NORMAL):
            return replace(self, a=self.a * share, b=self.b * share)
        if self.kind == draws.EMPIRICAL:
            return replace(self, values=tuple(value * share for value in self.values))
        return replace(self, a=self.a * share)


def constant(value: float) -> Law:
    """Always the same value."""
    return Law(draws.CONSTANT, value)


def uniform_between(low: float, high: float) -> Law:
    """Any value between two, equally likely."""
    return Law(draws.UNIFORM, low, high)


def exponential(mean: float) -> Law:
    """Exponential with its mean."""
    return Law(draws.EXPONENTIAL, mean)


def lognormal(mean: float, cv: float) -> Law:
    """Lognormal with its own mean and coefficient of variation (not those of the logarithm)."""
    if cv == 0:
        return constant(mean)
    log_variance = math.log1p(cv**2)
    return Law(draws.LOGNORMAL, math.log(mean) - log_variance / 2, math.sqrt(log_variance))


def normal(mean: float, sd: float) -> Law:
    """Normal with mean and standard deviation, cut at zero."""
    return Law(draws.NORMAL, mean, sd)


def gamma(mean: float, cv: float) -> Law:
    """Gamma with mean and coefficient of variation."""
    return Law(draws.GAMMA, cv**-2, mean * cv**2)


def erlang(mean: float, phases: int) -> Law:
    """Sum of so many equal exponential phases, with its mean."""
    return Law(draws.ERLANG, mean, count=phases)


def empirical(values: tuple[float, ...]) -> Law:
    """One of the measured values, each equally likely."""
    return Law(draws.EMPIRICAL, 0.0, count=len(values), values=values)
