"""Published sources the power room's formulas and values rest on, each with how far it was read."""

from __future__ import annotations

from stockproof.figures import Source

__all__ = [
    "DOUGLAS",
    "ESPOSITO",
    "HAALAND",
    "IEC_CABLES",
    "IEC_DROP",
    "MERRITT",
    "NITROGEN_FIT",
    "SULLIVAN",
    "TANK_ARTICLE",
    "VISCOSITY",
]

#: Worked examples read in a public companion of the book, recomputed here; the book itself was not seen.
ESPOSITO = Source("A. Esposito, Fluid Power with Applications (worked examples from a public companion, recomputed)")
SULLIVAN = Source("J. Sullivan, Fluid Power: Theory & Applications (worked examples from a public companion)")
DOUGLAS = Source("J. F. Douglas, Fluid Mechanics, ex. 20.3 (from a public companion)")
VISCOSITY = Source("ASTM D341, simple form log10 log10(v + 0.7) = A - B log10 T", seen=False)
HAALAND = Source("S. E. Haaland, J. Fluids Eng. 105 (1983) 89, friction factor of turbulent pipe flow", seen=False)
MERRITT = Source("H. E. Merritt, Hydraulic Control Systems, 1967, orifices at low Reynolds number", seen=False)
NITROGEN_FIT = Source("fit to nitrogen's reference equation as CoolProp 8.0.0 gives it, 5-300 kg/m3, 240-380 K")
IEC_CABLES = Source("IEC 60228, largest resistance at 20 degC of plain copper conductors, classes 2 and 5")
IEC_DROP = Source("IEC 60364-5-52:2009, annex G, voltage drop")
TANK_ARTICLE = Source("published article on heat given off by hydraulic tanks: 6, 12 and 24 W/m2K")
