"""Classes of stock and mobs as distributions of weight and body sizes."""

from stockproof.herd.assumption import Assumption
from stockproof.herd.girth import ellipse_width_per_girth, heart_girth_m, weight_francis_kg, weight_zebu_kg
from stockproof.herd.normal import Floats, normal_quantile, normal_share
from stockproof.herd.parting import Parting, parting, shares_by_weight
from stockproof.herd.sizes import ABOUT_WALKING, NODES, WEIGHT, BodySize, MobSizes, body_size_m, mob, mobs
from stockproof.herd.table import ClassOfStock, Measure, Temperament, herd_table
from stockproof.herd.weights import ListedWeights, NormalWeights, Weights

__all__ = [
    "ABOUT_WALKING",
    "NODES",
    "WEIGHT",
    "Assumption",
    "BodySize",
    "ClassOfStock",
    "Floats",
    "ListedWeights",
    "Measure",
    "MobSizes",
    "NormalWeights",
    "Parting",
    "Temperament",
    "Weights",
    "body_size_m",
    "ellipse_width_per_girth",
    "heart_girth_m",
    "herd_table",
    "mob",
    "mobs",
    "normal_quantile",
    "normal_share",
    "parting",
    "shares_by_weight",
    "weight_francis_kg",
    "weight_zebu_kg",
]
