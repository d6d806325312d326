"""A mob as distributions of weight and of body sizes that go with weight.

A size is a law of weight times a lognormal difference between animals of one weight. Those differences are taken as
independent from one size to another at a given weight: where they truly rise together, the share of animals that
pass several limits at once is understated, never overstated. A mob is a distribution, not a list of animals.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from stockproof.brief import Brief
from stockproof.errors import Fault, InputError, InternalError
from stockproof.figures import FROM_MEMORY, Source, formula
from stockproof.herd.assumption import Assumption
from stockproof.herd.girth import heart_girth_m
from stockproof.herd.normal import Floats, normal_quantile, normal_share
from stockproof.herd.table import ClassOfStock, Measure, Temperament, herd_table, source_of
from stockproof.herd.weights import ListedWeights, NormalWeights, Weights, nodes_kg

__all__ = ["ABOUT_WALKING", "WEIGHT", "BodySize", "MobSizes", "body_size_m", "mob", "mobs"]

#: The name under which live weight stands beside the body sizes.
WEIGHT = "weight"
#: Endings of assumptions that say how animals walk and not how large they are.
ABOUT_WALKING = (".walking", ".balk_share")
#: Equal shares a mob is read at: doubling them moves no share by more than 0.001 (tests/herd).
NODES = 200
#: A percentile is found to this share of itself, by Newton's steps; one that leaves the bracket halves it instead.
PERCENTILE_TOLERANCE = 1e-9
MOST_STEPS = 200
LIGHTEST_KG, HEAVIEST_KG = 20.0, 2000.0
ALLOMETRY = Source("Huxley, Problems of Relative Growth, 1932: the power law of relative growth; common practice")


@formula(
    "at_reference_m * (weight_kg / reference_weight_kg)**exponent",
    unit="m",
    sources=(ALLOMETRY,),
    example=({"at_reference_m": 1.010, "weight_kg": 299.1, "reference_weight_kg": 167.2, "exponent": 0.242}, 1.1627),
    at_reference_m="m",
    weight_kg="kg",
    reference_weight_kg="kg",
    exponent="dimensionless",
)
def body_size_m(at_reference_m: float, weight_kg: float, reference_weight_kg: float, exponent: float) -> float:
    """Typical body size of an animal of a live weight. [m]

    References
    ----------
    Huxley 1932, the power law of relative growth; an exponent of 1/3 would be growth without change of shape.
    """
    return at_reference_m * float((weight_kg / reference_weight_kg) ** exponent)


@dataclass(frozen=True, slots=True)
class BodySize:
    """One body size of one class of stock: its law, the factor on it, and the spread at one weight."""

    measure: Measure
    times: float
    spread_share: float

    def typical_m(self, weight_kg: Floats) -> Floats:
        """Median size at each weight. [m], same shape"""
        law = self.measure
        if law.at_reference_m is None or law.reference_weight_kg is None or law.exponent is None:
            return heart_girth_m(weight_kg) * (law.per_girth * self.times)
        return self.times * law.at_reference_m * (weight_kg / law.reference_weight_kg) ** law.exponent


@dataclass(frozen=True, eq=False)
class MobSizes:
    """A mob as distributions.

    Parameters
    ----------
    name, stock_class, head, horned_share, temperament
        As the brief says.
    weights : Weights
        Distribution of live weight.
    sizes : mapping of str to BodySize
        Body sizes by code of `classes.toml`.
    walking_m_per_s, balk_share : float
        Typical pace in a race; share that stops at a gate. Assumptions, both.
    """

    name: str
    stock_class: ClassOfStock
    temperament: Temperament
    head: int
    horned_share: float
    weights: Weights
    sizes: Mapping[str, BodySize]
    walking_m_per_s: float
    balk_share: float

    @cached_property
    def nodes_kg(self) -> Floats:
        """Weights of equal shares of the mob. [kg], (NODES,)"""
        return nodes_kg(self.weights, NODES)

    def typical(self, code: str, weight_kg: Floats) -> Floats:
        """Median of a size (or the weight itself) at each weight. [m or kg]"""
        return weight_kg if code == WEIGHT else self._size(code).typical_m(weight_kg)

    def unit(self, code: str) -> str:
        return "kg" if code == WEIGHT else "m"

    def mean(self, code: str) -> float:
        """Mean of a size over the mob. [m or kg]"""
        if code == WEIGHT:
            return self.weights.mean_kg
        spread = self._size(code).spread_share
        return float(np.mean(self._at_nodes(code)) * math.exp(spread**2 / 2))

    def spread(self, code: str) -> float:
        """Standard deviation of a size over the mob. [m or kg]"""
        if code == WEIGHT:
            return self.weights.spread_kg
        square = np.mean(self._at_nodes(code) ** 2) * math.exp(2 * self._size(code).spread_share ** 2)
        return math.sqrt(max(0.0, float(square) - self.mean(code) ** 2))

    def share_at_most(self, code: str, bound: float) -> float:
        """Share of the mob whose size does not exceed a bound. [1]"""
        if code == WEIGHT:
            return self.weights.share_at_most(bound)
        return float(np.mean(self.shares_at_most(code, np.full(NODES, bound))))

    def shares_at_most(self, code: str, bounds: Floats) -> Floats:
        """Share of the animals of each node's weight that do not exceed that node's bound. [1], (NODES,)"""
        if code == WEIGHT:
            return (self.nodes_kg <= bounds).astype(np.float64)
        with np.errstate(divide="ignore"):
            z = np.log(np.maximum(bounds, 0.0) / self._at_nodes(code)) / self._size(code).spread_share
        return normal_share(z)

    def percentile(self, code: str, share: float) -> float:
        """Size that a share of the mob does not exceed. [m or kg]"""
        if code == WEIGHT:
            return self.weights.quantile_kg(share)
        if (code, share) not in self._percentiles:
            self._percentiles[code, share] = self._percentile(code, share)
        return self._percentiles[code, share]

    def _percentile(self, code: str, share: float) -> float:
        if not 0 < share < 1:
            raise InternalError(f"a size has no percentile at the share {share}")
        spread = self._size(code).spread_share
        typical = np.log(self._at_nodes(code))
        low, high = float(typical.min()) - 8 * spread, float(typical.max()) + 8 * spread
        at = float(np.quantile(typical, share)) + normal_quantile(share) * spread / 2
        for _ in range(MOST_STEPS):
            z = (at - typical) / spread
            short = share - float(np.mean(normal_share(z)))
            low, high = (at, high) if short > 0 else (low, at)
            slope = float(np.mean(np.exp(-(z**2) / 2))) / (math.sqrt(2 * math.pi) * spread)
            wanted = at + short / slope if slope > 0 else math.inf
            after = wanted if low < wanted < high else (low + high) / 2
            if abs(after - at) < PERCENTILE_TOLERANCE:
                return math.exp(after)
            at = after
        raise InternalError(f"the percentile of {code} at the share {share} was not found")

    def sample(self, generator: np.random.Generator, count: int) -> dict[str, Floats]:
        """Draw animals: weight and every body size, the sizes going with the weight. [kg, m], each (count,)"""
        weight = np.array([self.weights.quantile_kg(share) for share in generator.random(count).tolist()])
        drawn = {WEIGHT: weight}
        for code, size in self.sizes.items():
            drawn[code] = size.typical_m(weight) * np.exp(size.spread_share * generator.standard_normal(count))
        return drawn

    @cached_property
    def _percentiles(self) -> dict[tuple[str, float], float]:
        """Percentiles found so far: many limits ask for the same ones."""
        return {}

    @cached_property
    def _typical_at_nodes(self) -> dict[str, Floats]:
        return {code: size.typical_m(self.nodes_kg) for code, size in self.sizes.items()}

    def _at_nodes(self, code: str) -> Floats:
        self._size(code)
        return self._typical_at_nodes[code]

    def _size(self, code: str) -> BodySize:
        if code not in self.sizes:
            raise InternalError(f"no body size {code!r}; there are {', '.join(self.sizes)}")
        return self.sizes[code]

    def assumptions(self) -> tuple[Assumption, ...]:
        """Everything about these animals that the brief does not say and the table supplied."""
        return tuple(_assumptions(self))


def mob(brief: Brief, name: str, changes: Mapping[str, float] | None = None) -> MobSizes:
    """Give a mob of a brief as distributions of weight and body sizes.

    Parameters
    ----------
    brief : Brief
        The brief that names the mob.
    name : str
        The mob's name.
    changes : mapping of assumption name to value, optional
        Other values for assumptions of `MobSizes.assumptions()`, to see what they move.

    Raises
    ------
    InputError
        The brief has no such mob, or its mean weight is no weight of cattle.
    """
    if name not in brief.mobs:
        raise InputError(Fault("is no mob of this brief", got=repr(name), allowed=", ".join(brief.mobs)))
    written = brief.mobs[name]
    table = herd_table()
    stock, temper = table.classes[written.stock_class], table.temperaments[written.temperament]
    using = dict(changes or {})
    sizes = {code: _body_size(measure, stock, using) for code, measure in table.measures.items()}
    return MobSizes(
        name=name,
        stock_class=stock,
        temperament=temper,
        head=int(written.head),
        horned_share=written.horned_share,
        weights=_weights(brief, name),
        sizes=sizes,
        walking_m_per_s=using.get(f"herd.{stock.code}.walking", stock.walking_m_per_s) * temper.pace,
        balk_share=using.get(f"herd.{temper.code}.balk_share", temper.balk_share),
    )


def mobs(brief: Brief, changes: Mapping[str, float] | None = None) -> tuple[MobSizes, ...]:
    """Give every mob of a brief, in the brief's order; see `mob`."""
    return tuple(mob(brief, name, changes) for name in brief.mobs)


def _weights(brief: Brief, name: str) -> Weights:
    listed, written = brief.weights_kg[name], brief.mobs[name]
    if listed:
        return ListedWeights(tuple(sorted(listed)))
    mean, spread = written.weight_mean_kg, written.weight_spread_share
    if mean is None or spread is None:
        raise InternalError(f"mob {name!r} has neither mean and spread nor a list of weights")
    if not LIGHTEST_KG <= mean <= HEAVIEST_KG:
        place = brief.toml.place(("mob", list(brief.mobs).index(name), "weight_mean"))
        allowed = f"{LIGHTEST_KG:g} to {HEAVIEST_KG:g} kg"
        raise InputError(Fault("is no mean weight of cattle", place, f"{mean:g} kg", allowed, "check the unit"))
    return NormalWeights(mean, spread)


def _body_size(measure: Measure, stock: ClassOfStock, changes: Mapping[str, float]) -> BodySize:
    times = _times(measure, stock)
    if _size_name(stock, measure) in changes:
        times = changes[_size_name(stock, measure)] / _at_reference(measure)
    return BodySize(measure, times, changes.get(_spread_name(measure), measure.spread_share))


def _times(measure: Measure, stock: ClassOfStock) -> float:
    return next((factor.times for factor in stock.factor if factor.measure == measure.code), 1.0)


def _at_reference(measure: Measure) -> float:
    """What an assumption on a size states: the size at the reference weight, or the share of heart girth."""
    return measure.per_girth if measure.at_reference_m is None else measure.at_reference_m


def _size_name(stock: ClassOfStock, measure: Measure) -> str:
    return f"herd.{stock.code}.{measure.code}"


def _spread_name(measure: Measure) -> str:
    return f"herd.{measure.code}.spread"


def _assumptions(sizes: MobSizes) -> Iterator[Assumption]:
    stock, temper = sizes.stock_class, sizes.temperament
    for size in sizes.sizes.values():
        yield _size_assumption(stock, size)
        yield Assumption(
            _spread_name(size.measure),
            size.spread_share,
            "1",
            f"{size.measure.label}: spread between animals of one weight",
            source_of(size.measure.source, size.measure.seen),
            (size.measure.spread_share * 0.6, size.measure.spread_share * 1.6),
        )
    yield Assumption(
        f"herd.{stock.code}.walking",
        sizes.walking_m_per_s / temper.pace,
        "m/s",
        f"walking pace of {stock.label} in a race",
        FROM_MEMORY,
        (stock.walking_m_per_s * 0.7, stock.walking_m_per_s * 1.5),
    )
    yield Assumption(
        f"herd.{temper.code}.balk_share",
        sizes.balk_share,
        "1",
        f"share of animals that stop at a gate, temperament {temper.label}",
        source_of(temper.source),
        (temper.balk_share * 0.4, min(1.0, temper.balk_share * 2)),
    )


def _size_assumption(stock: ClassOfStock, size: BodySize) -> Assumption:
    law = size.measure
    value, usual = size.times * _at_reference(law), _times(law, stock) * _at_reference(law)
    factor = next((factor for factor in stock.factor if factor.measure == law.code), None)
    text = law.source if factor is None else f"{law.source}; {stock.label} times {factor.times:g}: {factor.source}"
    at = f"at {law.reference_weight_kg:g} kg" if law.reference_weight_kg is not None else "over heart girth"
    return Assumption(
        _size_name(stock, law),
        value,
        "m" if law.reference_weight_kg is not None else "1",
        f"{law.label} of {stock.label} {at}",
        source_of(text, law.seen and "from memory" not in text),
        (usual * (1 - law.band_share), usual * (1 + law.band_share)),
    )
