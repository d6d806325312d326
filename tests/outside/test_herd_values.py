"""The herd model against published values: girth equations, body measurements, real weight series, facility guides."""

from __future__ import annotations

import numpy as np
import pytest

from stockproof.fit.tables import allowances, race_guides
from stockproof.herd import (
    NormalWeights,
    ellipse_width_per_girth,
    heart_girth_m,
    herd_table,
    weight_francis_kg,
    weight_zebu_kg,
)
from tests.herd.support import mob_of

# Francis, Sibanda and Kristensen, Zimbabwe Vet. J. 33 (2002) 15-21: their equation worked out by hand.
FRANCIS_POINTS = [(1.00, 88.8), (1.30, 187.0), (1.50, 279.6), (1.70, 395.2), (1.90, 534.8), (2.00, 613.9)]
# Livestock Research for Rural Development 23(4) (2011), within its range of 170 to 390 kg.
ZEBU_POINTS = [(1.30, 182.5), (1.50, 273.5), (1.70, 364.5)]
# AHDB Dairy, Cubicle dimensions: body weight [kg], chest girth [m], diagonal body length [m].
AHDB = [
    (375, 1.68, 1.36),
    (425, 1.75, 1.41),
    (475, 1.81, 1.46),
    (525, 1.87, 1.50),
    (575, 1.93, 1.54),
    (625, 1.98, 1.58),
    (675, 2.04, 1.62),
    (725, 2.09, 1.65),
    (775, 2.14, 1.68),
    (825, 2.18, 1.72),
]
# Heinrichs and Hargrove, J. Dairy Sci. 70 (1987) 653-660, abstract: weight [kg], height at the withers [m].
HEINRICHS = [(167.2, 1.010), (299.1, 1.176), (420.6, 1.274), (516.2, 1.327)]


def girth_of(weight_kg: float) -> float:
    return float(heart_girth_m(np.array([weight_kg]))[0])


@pytest.mark.parametrize(("girth", "weight"), FRANCIS_POINTS)
def test_weight_from_girth_and_back_francis(girth: float, weight: float) -> None:
    assert weight_francis_kg(girth) == pytest.approx(weight, abs=0.06)
    assert girth_of(weight) == pytest.approx(girth, abs=2e-4)


@pytest.mark.parametrize(("girth", "weight"), ZEBU_POINTS)
def test_weight_from_girth_zebu(girth: float, weight: float) -> None:
    assert weight_zebu_kg(girth) == pytest.approx(weight, abs=0.06)
    # a second population, small zebu against mixed types: lighter for their girth, by less than a tenth
    assert weight_francis_kg(girth) == pytest.approx(weight, rel=0.10)


@pytest.mark.parametrize(("weight", "girth", "length"), AHDB)
def test_girth_and_length_against_the_dairy_table(weight: float, girth: float, length: float) -> None:
    # girth: an independent population, within 3 %, our band; length: the law was drawn through it, 1 % is its rounding
    assert girth_of(weight) == pytest.approx(girth, rel=0.03)
    assert float(mob_of("dairy_cow", 550).typical("body_length", np.array([weight]))[0]) == pytest.approx(
        length, rel=0.01
    )


@pytest.mark.parametrize(("weight", "height"), HEINRICHS)
def test_height_at_the_withers_against_holstein_heifers(weight: float, height: float) -> None:
    found = float(mob_of("dairy_heifer", 300).typical("withers_height", np.array([weight]))[0])
    assert found == pytest.approx(height, rel=0.012)


def test_girth_grows_as_brody_found() -> None:
    """Missouri Research Bulletin, Growth and development XLI: weight goes with girth to the power 2.72 to 2.88."""
    weights = np.array([100.0, 600.0])
    girths = heart_girth_m(weights)
    exponent = np.log(weights[1] / weights[0]) / np.log(girths[1] / girths[0])
    assert 2.6 < exponent < 3.0


def test_whole_dairy_cow() -> None:
    """Secondary page of dairy cow dimensions: 2.3 to 2.6 m long, 1.37 to 1.50 m at the withers."""
    cows = mob_of("dairy_cow", 600)
    assert 2.3 <= cows.percentile("nose_to_tail", 0.5) <= 2.6
    assert 1.37 <= cows.percentile("withers_height", 0.5) <= 1.50
    # hook bones 25 in, Ontario ministry of agriculture, free-stall dimensions, table 1, at 657 kg
    assert float(cows.typical("hip_width", np.array([657.0]))[0]) == pytest.approx(25 * 0.0254, rel=0.01)
    parts = sum(cows.percentile(part, 0.5) for part in ("head_length", "neck_length", "body_length"))
    assert parts == pytest.approx(cows.percentile("nose_to_tail", 0.5), rel=0.01)


def test_beef_cows_against_nine_breeds() -> None:
    """Bene et al., Arch. Tierz. 50 (2007) 363-373: largest breed means; the model must lie below and not far below."""
    cows = mob_of("cow", 638)
    largest = {"hip_width": 0.583, "shoulder_width": 0.529, "head_width": 0.251, "head_length": 0.528}
    for size, breed_mean in largest.items():
        assert 0.85 * breed_mean < cows.percentile(size, 0.5) < 1.02 * breed_mean, size
    assert 0.90 * 1.425 < cows.percentile("withers_height", 0.5) < 1.425


def test_chest_as_an_ellipse() -> None:
    """Van den Bosch's means of adult Dutch cows, 72.2 cm deep and 45.7 cm wide: width 0.2437 of the girth."""
    assert ellipse_width_per_girth(72.2 / 45.7) == pytest.approx(0.2437, abs=5e-5)
    assert ellipse_width_per_girth(72.2 / 45.7) == pytest.approx(
        herd_table().measures["chest_width"].per_girth, abs=5e-5
    )
    # and at the weight of such a girth (1.875 m, 517 kg) the model gives that width
    chest = mob_of("cow", 517).percentile("chest_width", 0.5)
    assert chest == pytest.approx(0.457, rel=0.02)


@pytest.mark.parametrize("stock", ["calf", "weaner", "yearling", "steer", "heifer", "cow", "dairy_cow"])
def test_a_belly_is_never_narrower_than_the_chest(stock: str) -> None:
    mob = mob_of(stock, 300)
    weights = np.array([100.0, 200.0, 400.0, 700.0])
    assert np.all(mob.typical("belly_width", weights) >= 0.85 * mob.typical("chest_width", weights))
    assert np.all(mob.typical("belly_width", weights[1:]) >= mob.typical("chest_width", weights[1:]))


# Heaviest mob a class of the Midwest table should still take: its 95th animal stands at the class's upper weight.
@pytest.mark.parametrize(
    ("stock", "class_top_kg", "race_m"),
    [
        ("weaner", 272.0, 0.457),
        ("yearling", 544.0, 0.559),
        ("cow", 700.0, 0.660),
        ("steer", 544.0, 0.559),
    ],
)
def test_guide_race_widths_hold_the_widest_of_their_class(stock: str, class_top_kg: float, race_m: float) -> None:
    """University of Arkansas, Beef Cattle Handling Facilities: 18, 22, 26 in clear for calves, yearlings, mature."""
    mob = mob_of(stock, round(class_top_kg / (1 + 1.645 * 0.10), 1), 0.10)
    assert mob.percentile("hip_width", 0.95) < race_m
    assert mob.percentile("belly_width", 0.95) < race_m * 1.02  # a belly is soft and may brush
    # and the guide is no barn door: less than a hand's breadth is left beside the widest hips
    assert race_m - mob.percentile("hip_width", 0.95) < 0.11


def test_guides_carry_the_published_widths() -> None:
    widths = {(row.guide.split()[0], row.sides, row.weight_to_kg): row.width_low_m for row in race_guides()}
    inch = 0.0254
    for top, straight, sloped in ((272.0, 18, 20), (544.0, 22, 24), (1400.0, 26, 28)):
        assert widths["Arkansas", "straight", top] == pytest.approx(straight * inch, abs=1e-3)
        assert widths["Arkansas", "sloped", top] == pytest.approx(sloped * inch, abs=1e-3)
    assert widths["Irish", "straight", 1400.0] == 0.700
    assert widths["Australian", "straight", 1400.0] == 0.675
    assert widths["Beef", "straight", 1400.0] == 0.760


def test_guide_races_keep_their_class_from_turning_round() -> None:
    """A guide's race holds the middle of its class facing forward; a race for cows does not hold small calves."""
    turning = allowances()["turn_round"]

    def body_m(weight_kg: float) -> float:
        return float(mob_of("steer", 450).typical("body_length", np.array([weight_kg]))[0])

    for row in race_guides():
        middle = (max(row.weight_from_kg, 150.0) + min(row.weight_to_kg, 800.0)) / 2
        if row.sides == "straight":
            assert row.width_low_m < turning * body_m(middle), row.guide
    assert turning * body_m(150.0) < 0.660  # 26 in, mature cattle, Arkansas


# Real weight series by their summary figures: mean, standard deviation, lightest, heaviest, number.
SERIES = {
    "Kenward 1987, Applied Statistics 36:296-308, table 1, day 0 [kg]": (225.40, 10.21, 200, 241, 60),
    "Kenward 1987, day 56 [kg]": (278.80, 15.24, 248, 311, 60),
    "Kenward 1987, day 112 [kg]": (317.40, 18.37, 279, 359, 60),
    "Kenward 1987, day 133 [kg]": (322.97, 22.78, 264, 370, 60),
    "Harvey 1960, USDA ARS 20-8, pp. 101-102 [lb]": (416.85, 41.41, 337, 498, 65),
    "Urquhart 1982, Biometrics 38:651-660, table 4, in [lb]": (703.43, 69.66, 530, 865, 67),
    "Urquhart 1982, table 4, out [lb]": (1022.21, 102.00, 816, 1248, 67),
}


@pytest.mark.parametrize("series", SERIES)
def test_a_normal_mob_has_the_lightest_and_heaviest_of_a_real_one(series: str) -> None:
    mean, spread, lightest, heaviest, count = SERIES[series]
    mob = NormalWeights(mean, spread / mean)
    # the end of 60 normal weights lies about 2.3 spreads out and is itself uncertain by 0.4: allow two and a half of it
    assert mob.quantile_kg(1 / (count + 1)) == pytest.approx(lightest, abs=1.0 * spread)
    assert mob.quantile_kg(count / (count + 1)) == pytest.approx(heaviest, abs=1.0 * spread)


def test_usual_spreads_lie_between_the_published_ones() -> None:
    """Kenward 4.5 % (picked calves) up to Diggle, Liang and Zeger 1994, 14 % (dairy heifers of 12 to 26 months)."""
    spreads = {code: stock.usual_spread_share for code, stock in herd_table().classes.items()}
    assert all(0.045 < spread <= 0.14 for spread in spreads.values())
    assert spreads["weaner"] == pytest.approx(41.41 / 416.85, abs=0.002)  # Harvey
    assert spreads["yearling"] == pytest.approx(69.66 / 703.43, abs=0.002)  # Urquhart
    assert spreads["steer"] == pytest.approx(52 / 606, abs=0.005)  # Meat Sci. 89 (2011) 52-57


def test_spread_of_sizes_against_ilri() -> None:
    """ILRI, tables 45 and 49: a mob of CV 17 % in weight has about 7 % in girth, length and height; r 0.76 to 0.89."""
    mob = mob_of("dairy_heifer", 250, 0.17)
    drawn = mob.sample(np.random.default_rng(5), 20_000)
    for size, correlation in (("heart_girth", 0.89), ("body_length", 0.82), ("withers_height", 0.76)):
        assert mob.spread(size) / mob.mean(size) == pytest.approx(0.07, abs=0.012), size
        assert np.corrcoef(drawn["weight"], drawn[size])[0, 1] == pytest.approx(correlation, abs=0.10), size


def test_inventory_weights_lie_within_their_class() -> None:
    """Irish national inventory constants: mature bull 773 kg, dairy cow 538 kg, suckler cow 600 kg, birth 40 kg."""
    for code, weight in (("bull", 773), ("dairy_cow", 538), ("cow", 600), ("calf", 40)):
        stock = herd_table().classes[code]
        assert stock.weight_low_kg <= weight <= stock.weight_high_kg
