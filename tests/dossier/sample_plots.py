"""Invented plots that exercise every kind of curve."""

import math

from stockproof.scene.pages import Axis, Band, Curve, Marker, Plot

MINUTES = tuple(float(t) for t in range(0, 61))


def pressure_plot() -> Plot:
    gas = tuple(150 + 12 * math.sin(t / 4) for t in MINUTES)
    cold = tuple(138 + 10 * math.sin(t / 4 + 0.4) for t in MINUTES)
    return Plot(
        "pressure-hour",
        "Pressure in the store over a working hour",
        Axis("Time", "min", 0, 60),
        Axis("Pressure", "bar"),
        (Curve("normal", MINUTES, gas), Curve("cold morning", MINUTES, cold, dashed=True, role="steel")),
        (Band("unloading band", MINUTES, (140.0,) * 61, (165.0,) * 61),),
        (Marker("lowest at which the bail still holds", 125.0),),
        "Pressure swings between 138 and 162 bar and stays above the limit of 125 bar.",
    )


def days_plot() -> Plot:
    days = tuple(float(day) for day in range(4, 12))
    return Plot(
        "days",
        "Days needed for the autumn round",
        Axis("Days", ""),
        Axis("Share of runs", "%"),
        (Curve("share of runs", days, (1.0, 4.0, 17.0, 33.0, 27.0, 12.0, 5.0, 1.0), "bars"),),
        markers=(Marker("promised", 9.0, "x"),),
        height_mm=48,
    )
