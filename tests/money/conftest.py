"""A small invented firm and farm whose money can be worked out on paper."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from stockproof.brief import read_brief
from stockproof.catalogue import read_catalogue
from stockproof.installation import Installation, install

CATALOGUE = """
format = 1
[firm]
name = "Paper Yards (invented)"
currency = "USD"
margin = "20 %"
install_rate = "90 USD/h"
freight_rate = "4 USD/km"

[[item]]
code = "body"
kind = "crush_body"
name = "Crush body"
description = "A crush."
source = "invented"
price = "30,000 USD"
mass = "900 kg"
length = "2.6 m"
width = "1.1 m"
height = "2.1 m"
install_time = "8 h"
service_cost = "300 USD/year"
life_years = 20
largest_piece = "400 kg"
inside_length = "2.4 m"
inside_width = "760 mm"
inside_height = "1.7 m"
animal_capacity = "900 kg"

[[item]]
code = "race"
kind = "race_part"
name = "Race panel"
description = "Three metres of race."
source = "invented"
price = "1,000 USD"
mass = "450 kg"
length = "3 m"
width = "800 mm"
height = "1.6 m"
install_time = "1 h"
service_cost = "10 USD/year"
shape = "straight"
sides = "straight"
clear_width = "700 mm"
clear_width_top = "700 mm"
side_height = "1.6 m"

[[item]]
code = "sensor_a"
kind = "sensor"
name = "Light beam"
description = "A beam."
source = "invented"
price = "400 USD"
mass = "1 kg"
length = "100 mm"
width = "50 mm"
height = "50 mm"
install_time = "30 min"
service_cost = "0 USD/year"
life_years = 4
technology = "light_beam"
place = "entry"
"""

BRIEF = """
format = 1
title = "Paper farm"
catalogue = "catalogue.toml"
issue_date = 2026-03-02

[market]
country = "NZ"
volts = "230 V"
frequency = "50 Hz"
plug = "flat-pin"
currency = "NZD"
exchange = 1.5

[customer]
name = "Nobody (invented)"
farm = "Paper farm (invented)"

[site]
altitude = "10 m"
coldest_morning = "0 degC"
hottest_day = "30 degC"
boundary = [[0, 0], [50, 0], [50, 50]]
slope = "0 %"
operator_side = "left"
draft_side = "left"
hose_length = "5 m"
road_distance = "100 km"
lifting_on_site = "420 kg"
access_load = "5 t"

[[site.supply]]
name = "shed"
volts = "230 V"
breaker = "20 A"
outlet = "15 A"
cable_length = "20 m"
cable_area = "4 mm2"

[scope]
concrete = "customer"
cable = "third_party"
lifting = "customer"

[[mob]]
name = "steers"
stock_class = "steer"
head = 600
weight_mean = "400 kg"
weight_spread = "8 %"

[[person]]
name = "owner"
skills = ["stock", "controls"]
places = ["crush_side"]
cost = "36 NZD/h"
paid = false

[[person]]
name = "hand"
skills = ["stock"]
places = ["race"]
cost = "30 NZD/h"
paid = true

[[person]]
name = "second hand"
skills = ["stock"]
places = ["yard"]
cost = "30 NZD/h"
paid = true

[[person]]
name = "vet"
skills = ["vet"]
places = ["crush_rear"]
cost = "200 NZD/h"
paid = true

[[programme]]
name = "weigh"
mob = "steers"
times_per_year = 10
hold = false
sort = false
crew = ["owner", "hand"]

[[programme]]
name = "treat"
mob = "steers"
times_per_year = 2
share = "50 %"
tasks = ["drench"]
hold = true
sort = false
crew = ["owner", "hand"]

[today]
rate = "60 head/h"
crew = ["owner", "hand", "second hand"]
crush = "an old crush"
upkeep = "500 NZD/year"
trade_in = "1,000 NZD"

[money]
discount = "8 %"
horizon_years = 10
salvage = "15 %"

[[money.change]]
side = "added_return"
label = "better drafting"
amount = "9,000 NZD/year"
source = "invented"

[[promise]]
kind = "payback"
at_most_years = 5

[build.items]
body = 1
race = 4
sensor_a = 2
"""

Edit = tuple[str, str]
Build = Callable[..., Installation]


@pytest.fixture
def build(tmp_path: Path) -> Build:
    """Give a function that joins the paper brief and catalogue after edits, each a piece of text and its successor."""

    def joined(*edits: Edit, catalogue: tuple[Edit, ...] = ()) -> Installation:
        for name, text, changes in (("brief", BRIEF, edits), ("catalogue", CATALOGUE, catalogue)):
            for old, new in changes:
                assert text.count(old) >= 1, old
                text = text.replace(old, new, 1)  # noqa: PLW2901 -- the edited text is what is written
            (tmp_path / f"{name}.toml").write_text(text)
        return install(read_brief(tmp_path / "brief.toml"), read_catalogue(tmp_path / "catalogue.toml"))

    return joined
