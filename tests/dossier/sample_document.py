"""An invented job with a ledger, verdicts and every kind of part, long enough to fill pages."""

import datetime

from stockproof.dossier.document import Assumption, Assumptions, Document, Verdicts
from stockproof.figures import FROM_MEMORY, Ledger, Source, formula
from stockproof.proof.model import Measure, Verdict
from stockproof.scene.pages import (
    Bullets,
    Cautions,
    Column,
    Facts,
    Figures,
    Finding,
    Findings,
    Paragraph,
    Part,
    Plate,
    Quantity,
    Section,
    Steps,
    Table,
)
from tests.dossier.sample_plots import days_plot, pressure_plot
from tests.scene.sample import yard_drawing

BOOK = Source("An invented handbook of fluid power, 2019, chapter 3")


@formula(
    "pressure * area",
    unit="N",
    sources=(BOOK,),
    example=({"pressure": 1e6, "area": 2e-3}, 2e3),
    pressure="Pa",
    area="m2",
)
def sample_force(pressure: float, area: float) -> float:
    """Force of a piston, for this sample only. [N]"""
    return pressure * area


def sample_ledger() -> Ledger:
    ledger = Ledger()
    pressure = ledger.given("supply.pressure", 160e5, "Pa", "Pressure of the store at the cut-out")
    area = ledger.given("squeeze.piston_area", 1.963e-3, "m2", "Piston area of the squeeze cylinder", "catalogue, SQ-2")
    ledger.derive("squeeze.force", "Force of the squeeze at full pressure", sample_force, pressure=pressure, area=area)
    ledger.run(
        "rate.autumn",
        88.2 / 3600,
        "head/s",
        "Head rate, autumn round",
        "event simulation, seed 7, 200 runs",
        band=(79 / 3600, 97 / 3600),
    )
    ledger.assume(
        "oil.coldest_viscosity", 4.1e-4, "m2/s", "Oil viscosity on the coldest morning", FROM_MEMORY, (2.9e-4, 6.0e-4)
    )
    ledger.assume(
        "herd.balk_share", 0.08, "1", "Share of animals that balk at the crush", Source("common practice"), (0.03, 0.15)
    )
    ledger.run("price.total", 68_450.0, "NZD", "Price, delivered and fitted", "sum of the build")
    return ledger


def sample_verdicts() -> tuple[Verdict, ...]:
    rate = Measure("head rate", 95 / 3600, 79 / 3600, "head rate", "more", "rate.autumn")
    price = Measure("price", 72_000.0, 68_450.0, "", "less", "price.total", "NZD")
    force = Measure("squeeze force", 25_000.0, 31_408.0, "force", "more", "squeeze.force")
    return (
        Verdict(
            1,
            "rate",
            "Autumn round: at least 95 head/h with Ana and Ben, from when the first animal enters the race until the "
            "last is released, counting no stops",
            "not met",
            (rate,),
            "the vaccinating task on the left side takes 21 s and nobody else can do it",
            "a second person at the side access gate, or a 3-way draft unit that needs no walking",
        ),
        Verdict(
            2,
            "price",
            "Delivered and fitted for at most 72,000 NZD, without tax",
            "met",
            (price,),
            "price of the build with freight and installation",
        ),
        Verdict(3, "force", "The squeeze holds a 700 kg bull", "met", (force,), "relief valve set at 160 bar"),
        Verdict(
            4,
            "outlet",
            "Runs from the 15 A outlet at the yards",
            "not shown",
            (),
            "the loop impedance of the supply is not in the brief",
        ),
        Verdict(
            5,
            "fits",
            "99 % of every mob fit everywhere",
            "met",
            (),
            "the race and the bail take every animal of all four mobs",
        ),
    )


def every_part(hostile: str = "") -> tuple[Section, ...]:
    words = hostile or "The brief asks for two rounds a year over 480 head of breeding cows and their calves."
    price = Table(
        "price",
        "Price of the build",
        (
            Column("Item", share=3),
            Column("Code"),
            Column("Count", "right"),
            Column("Each, NZD", "right"),
            Column("Sum, NZD", "right"),
        ),
        (
            ("Crush body, heavy frame, bolted", "CB-H", 1, 21_400, 21_400),
            ("Head bail, heavy", "HB-H", 1, 9_850, 9_850),
            ("Slide gate", "SG-1", 2, 2_300, 4_600),
            (hostile or "Power pack, single phase, with store of 10 L", "PP-1", 1, 8_900, 8_900),
            ("Freight, 212 km by road", "", None, None, 1_240),
            ("Sum", "", None, None, 45_990),
        ),
        total=True,
        note="Without tax. Prices of the firm's catalogue on the date of issue.",
    )
    checks: tuple[Part, ...] = (
        Paragraph(words),
        Facts(
            (
                ("Coldest working morning", Quantity(-4.0, "temperature")),
                ("Heaviest mob", Quantity(700.0, "mass")),
                ("Store", Quantity(160e5, "pressure")),
            )
        ),
        Bullets(
            (
                "Concrete by the customer, to the setting-out sheet.",
                "Cable by a licensed electrician.",
                hostile or "Lifting by the firm.",
            )
        ),
    )
    findings = Findings(
        (
            Finding(
                "YARD-012",
                "not met",
                "Escape pass is 9.4 m from the forcing pen's gate",
                "Somebody cornered there cannot get out",
                "A second pass in the left fence",
                "an invented guide, table 4",
            ),
            Finding(
                "YARD-031",
                "advice",
                hostile or "Race turns against the light in the afternoon",
                "Cattle stop where they face the sun",
                "",
                "common practice",
            ),
            Finding("YARD-001", "met", hostile or "Pens give each animal 1.7 square metres"),
        )
    )
    ledger = sample_ledger()
    return (
        Section("Verdicts", (Verdicts(sample_verdicts()),)),
        Section("What was asked", checks),
        Section("Price", (price,)),
        Section("The store over an hour", (pressure_plot(), days_plot()), level=2),
        Section(
            "How it could go wrong",
            (
                Steps(
                    "The bail closes on a trunk",
                    (
                        "An animal walks in.",
                        "The sensor sees its head late.",
                        hostile or "The bail closes on its trunk.",
                    ),
                ),
            ),
        ),
        Section("Findings", (findings,)),
        Section(
            "Assumptions",
            (
                Paragraph("The one that moves a verdict most stands first."),
                Assumptions(tuple(Assumption(figure, 0.12) for figure in ledger.assumptions())),
            ),
        ),
        Section("Figures", (Figures(tuple(figure.name for figure in ledger), "Every figure of the sample"),)),
        Section("In detail", (Verdicts(sample_verdicts(), detailed=True),)),
        Section("Drawings", (Plate(yard_drawing()),)),
        Section(
            "Cautions",
            (
                Cautions(
                    (
                        "Stored energy: vent the store before any work on the circuit.",
                        "Local codes, the full standards and licensed practice go before this document.",
                    )
                ),
            ),
        ),
    )


def sample_document(hostile: str = "") -> Document:
    return Document(
        "Proposal",
        hostile or "Hill-country yards: a crush that two people can run",
        hostile or "Invented Farm",
        "Invented District",
        hostile or "A. Customer",
        hostile or "Invented Works Ltd",
        "SP-0001-A",
        datetime.date(2026, 3, 2),
        sample_verdicts(),
        every_part(hostile),
        "This is an invented scenario: no such farm, firm or price exists.",
        "This document states what was computed from the brief and the catalogue named here. It is no certificate. "
        "Local codes, the full standards and licensed practice go before it.",
        (
            ("Customer", hostile or "A. Customer"),
            ("Date", "2 March 2026"),
            ("Brief", "brief.toml"),
            ("Catalogue", "Invented catalogue 2026"),
        ),
    )
