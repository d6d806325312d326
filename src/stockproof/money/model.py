"""What the money room takes in and gives out: rates, energy, price, partial budget, appraisal.

Amounts are in the brief's currency unless a name says works currency (the catalogue's). Times are seconds,
rates head per second; what a year brings is per year.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

from stockproof.errors import InternalError

__all__ = [
    "FLAGS",
    "NOTES",
    "Appraisal",
    "Budget",
    "Cases",
    "Crew",
    "Delivery",
    "Energy",
    "Flag",
    "Group",
    "Investment",
    "Labour",
    "Line",
    "MaterialLine",
    "Nature",
    "Price",
    "PriceLine",
    "Rate",
    "ScopeRow",
    "Sensitivity",
    "Side",
    "View",
    "Work",
]

T = TypeVar("T")
U = TypeVar("U")
Side = Literal["added_return", "reduced_cost", "added_cost", "reduced_return"]
Nature = Literal["cash", "ownership", "unpaid"]
Flag = Literal["several_irr", "no_irr", "never_pays_back", "not_within_horizon"]

FLAGS: dict[Flag, str] = {
    "several_irr": (
        "The yearly flows change sign more than once, so more than one internal rate of return can satisfy them; "
        "judge by the net present value."
    ),
    "no_irr": "No rate of return between -99 % and 1,000 % brings the net present value to zero.",
    "never_pays_back": "The build brings in nothing over its yearly costs, so the outlay never comes back.",
    "not_within_horizon": "The outlay is not back within the years the brief looks at.",
}

#: What holds for every budget and must be read with it.
NOTES = (
    "All amounts are at today's prices, without tax; the discount rate is taken as one without inflation.",
    "The outlay falls in year 0; what a year brings or costs falls at its end.",
    "Today's rate and crew are taken to hold for every programme, with whoever brings a skill its tasks need.",
    "Labour is time at the line; mustering, travel and breaks are the same in both cases and left out.",
    "Depreciation and interest stand in the partial budget only; the appraisal counts the outlay itself.",
    "Paybacks leave out what the build could be sold for at the end.",
    "An item whose life ends within the years looked at is renewed at the end of that year, at today's price; "
    "paybacks count that.",
    "What others than the firm supply (see the scope of supply) is not in the outlay.",
)


@dataclass(frozen=True, slots=True)
class Cases(Generic[T]):
    """One thing in three cases: rates and energy at their unfavourable ends, as expected, at their favourable ends."""

    low: T
    central: T
    high: T

    def __iter__(self) -> Iterator[T]:
        return iter((self.low, self.central, self.high))

    def map(self, function: Callable[[T], U]) -> Cases[U]:
        """Give a function of each case."""
        return Cases(function(self.low), function(self.central), function(self.high))


@dataclass(frozen=True, slots=True)
class Rate:
    """Head rate of one programme with the build, handed in by whoever computed it.

    Parameters
    ----------
    head_per_s, low_head_per_s, high_head_per_s : float
        Expected rate and the ends of its interval. [head/s] Unused when not known.
    known : bool
        False while no analysis has given a rate; then labour is `not shown`.
    source : str
        What gave the rate, in plain words.
    figure : str
        Name of the rate's figure in the ledger, where it has been set down already.
    """

    head_per_s: float
    low_head_per_s: float
    high_head_per_s: float
    known: bool = True
    source: str = ""
    figure: str = ""

    def __post_init__(self) -> None:
        if self.known and not 0 < self.low_head_per_s <= self.head_per_s <= self.high_head_per_s:
            raise InternalError(f"rate {self} is not positive, or lies outside its own interval")

    @property
    def cases(self) -> Cases[float]:
        return Cases(self.low_head_per_s, self.head_per_s, self.high_head_per_s)


@dataclass(frozen=True, slots=True)
class Energy:
    """Energy the power pack takes in a year.

    `carrier` says where it is counted: `electricity` at the meter, `shaft` at a petrol engine's shaft (the
    catalogue says what the engine burns per shaft kWh). Amounts in kWh a year.
    """

    carrier: Literal["electricity", "shaft"]
    kwh_per_year: float
    low_kwh_per_year: float
    high_kwh_per_year: float
    source: str = ""
    figure: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.low_kwh_per_year <= self.kwh_per_year <= self.high_kwh_per_year:
            raise InternalError(f"energy {self} is negative, or lies outside its own interval")

    @property
    def cases(self) -> Cases[float]:
        """More energy is the unfavourable end."""
        return Cases(self.high_kwh_per_year, self.kwh_per_year, self.low_kwh_per_year)


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One item of the build in the price: works currency, mass and fitting time for all of its count."""

    code: str
    name: str
    group: str
    count: int
    unit_price_works: float
    price_works: float
    mass_kg: float
    heaviest_piece_kg: float
    fitting_s: float
    service_works_per_year: float
    life_years: float
    source: str


@dataclass(frozen=True, slots=True)
class Group:
    """The lines of one group of items together, in works currency and in the brief's."""

    name: str
    price_works: float
    price: float
    mass_kg: float


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """So much of one material of the yard, which the firm supplies at a rate of its catalogue."""

    what: str
    unit: str
    amount: float
    rate_works: float
    price_works: float


@dataclass(frozen=True, slots=True)
class ScopeRow:
    """Who supplies one thing, and whether the price holds it."""

    what: str
    party: str
    in_price: bool
    note: str


@dataclass(frozen=True, slots=True)
class Delivery:
    """What must be carried in and lifted, against what the site can take."""

    total_mass_kg: float
    access_load_kg: float
    heaviest_piece_kg: float
    heaviest_item: str
    lifting_on_site_kg: float
    lifting_party: str

    @property
    def access_margin_kg(self) -> float:
        return self.access_load_kg - self.total_mass_kg

    @property
    def lifting_margin_kg(self) -> float:
        return self.lifting_on_site_kg - self.heaviest_piece_kg


@dataclass(frozen=True, slots=True)
class Price:
    """Price of the build delivered and fitted, without tax, and how it comes about."""

    currency: str
    works_currency: str
    exchange: float
    lines: tuple[PriceLine, ...]
    groups: tuple[Group, ...]
    ex_works: float
    margin_share: float
    margin_works: float
    distance_m: float
    freight_rate_works_per_m: float
    freight_works: float
    fitting_s: float
    fitting_rate_works_per_s: float
    fitting_works: float
    materials: tuple[MaterialLine, ...]
    materials_works: float
    total_works: float
    total: float
    scope: tuple[ScopeRow, ...]
    delivery: Delivery

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What the firm is to supply but the price does not hold: it is then too low."""
        return tuple(row.what for row in self.scope if row.party == "firm" and not row.in_price)


@dataclass(frozen=True, slots=True)
class Crew:
    """The people at work at once, and what a second of all of them costs."""

    names: tuple[str, ...]
    paid: int
    unpaid: int
    paid_per_s: float
    unpaid_per_s: float


@dataclass(frozen=True, slots=True)
class Labour:
    """Working time and its cost in a year, paid and unpaid apart; cost of a head, paid and unpaid together."""

    paid_s_per_year: float
    unpaid_s_per_year: float
    paid_per_year: float
    unpaid_per_year: float
    per_head: float


@dataclass(frozen=True, slots=True)
class Work:
    """One programme's labour, today and with the build (None while the rate is not known)."""

    programme: str
    head_per_year: float
    crew: Crew
    crew_today: Crew
    rate: Rate
    rate_today_head_per_s: float
    today: Labour
    build: Cases[Labour] | None


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the partial budget, a year's amount in each case; None where it is not shown, with what is missing.

    Nature: `cash` changes hands; `ownership` is depreciation and interest on the outlay (not cash, and left out
    of the appraisal, which counts the outlay itself); `unpaid` is family hours at their stated value.
    """

    key: str
    side: Side
    nature: Nature
    label: str
    amount: Cases[float] | None
    missing: str = ""


@dataclass(frozen=True, slots=True)
class Appraisal:
    """Judgement of the outlay over the horizon: flows by year from year 0, at today's prices.

    `recovered` are the flows without what a sale at the end would bring; paybacks count these alone.
    """

    flows: tuple[float, ...]
    recovered: tuple[float, ...]
    npv: float
    equivalent_annual: float
    irr: tuple[float, ...]
    simple_payback_years: float | None
    discounted_payback_years: float | None
    flags: tuple[Flag, ...]


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What one input moved alone does: to which two ends, and present value and paybacks at each."""

    key: str
    label: str
    ends: tuple[str, str]
    npv: tuple[float, float]
    simple_payback_years: tuple[float | None, float | None]
    discounted_payback_years: tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class Investment:
    """What the appraisal needs besides the yearly net: sums of money, the years looked at, the discount rate."""

    price: float
    trade_in: float
    outlay: float
    salvage: float
    renewals: tuple[tuple[int, float], ...]
    life_years: float
    horizon_years: int
    discount_per_year: float


@dataclass(frozen=True, slots=True)
class View:
    """The appraisal counted in one way: the yearly net in each case, the judgement of it, and what moves it."""

    net_per_year: Cases[float]
    appraisal: Cases[Appraisal]
    sensitivity: tuple[Sensitivity, ...]


@dataclass(frozen=True, slots=True)
class Budget:
    """Partial budget and appraisal of the build against today's case.

    `missing` says what stands in the way of an appraisal; then `net`, `cash` and `with_unpaid` are None.
    `left_out` names what is not shown and hence not in the appraisal: with costs left out a payback is a best
    case, so it may refute a promise but not prove it. `cash` counts what changes hands; `with_unpaid` adds
    family hours at the value the brief gives them.
    """

    price: Price
    missing: tuple[str, ...]
    work: tuple[Work, ...]
    energy: Energy | None
    left_out: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    investment: Investment | None = None
    capital_recovery_per_year: float | None = None
    net: Cases[float] | None = None
    cash: View | None = None
    with_unpaid: View | None = None
    notes: tuple[str, ...] = NOTES
