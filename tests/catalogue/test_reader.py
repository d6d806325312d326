"""A catalogue with a mistake says where; rules in text point at the character."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from stockproof.catalogue import Catalogue
from stockproof.catalogue.reader import check_catalogue
from stockproof.errors import InputError
from stockproof.tomlfile import parse_toml

TEXT = """format = 1
[firm]
name = "Invented firm"
currency = "NZD"
margin = "20 %"
install_rate = "90 NZD/h"
freight_rate = "3 NZD/km"

[[item]]
kind = "squeeze"
code = "squeeze_plain"
name = "Squeeze"
description = "Invented."
source = "invented"
price = "5,000 NZD"
mass = "200 kg"
length = "1.5 m"
width = "0.2 m"
height = "1.6 m"
install_time = "3 h"
service_cost = "90 NZD/year"
sides = "both"
width_min = "350 mm"
width_max = "700 mm"
needs = ["crush_body AND (squeeze_plain OR head_bail)"]

[[item.motion]]
part = "squeeze"
direction = "in"
time = "1.2 s"

[[item.cylinder]]
part = "squeeze"
bore = "50 mm"
rod = "25 mm"
stroke = "300 mm"
moved_mass = "120 kg"
"""


def read(text: str) -> Catalogue:
    return check_catalogue(parse_toml(text.encode(), "catalogue.toml", Path()))


def test_a_small_catalogue_reads() -> None:
    (item,) = read(TEXT).items
    assert item.price.value == 5000
    assert item.cylinder[0].bore_m == 0.05
    assert item.life_years == 15


MISTAKES = [
    ('bore = "50 mm"', 'bore = "50 mn"', "item[1].cylinder[1].bore: '50 mn' is not a length"),
    ('part = "squeeze"\nbore', 'part = "sqeeze"\nbore', "names a part that no motion of this item moves"),
    ("(squeeze_plain OR head_bail)", "(squeeze_plain OR head_bial)", "'head_bial' is no item and no kind of item"),
    ("AND (squeeze", "AND squeeze", "item[1].needs[1], character"),
    ('price = "5,000 NZD"', 'price = "5,000 USD"', "is in another currency than the catalogue"),
    ('kind = "squeeze"', 'kind = "squeze"', "did you mean 'squeeze'?"),
    ('sides = "both"', 'side = "both"', "did you mean 'sides'?"),
    ('width_max = "700 mm"', 'width_max = "-1 mm"', "should be greater than 0"),
    ('code = "squeeze_plain"', 'code = "Squeeze plain"', "item[1].code"),
]


@pytest.mark.parametrize(("old", "new", "complaint"), MISTAKES, ids=[new for _, new, _ in MISTAKES])
def test_a_mistake_names_its_place(old: str, new: str, complaint: str) -> None:
    text = TEXT.replace(old, new, 1)
    assert text != TEXT
    with pytest.raises(InputError, match=re.escape(complaint)) as caught:
        read(text)
    line = text[: text.index(new)].count("\n") + 1 + new.count("\n") - (new.count("\n") and "bore" in new)
    assert line in {fault.place.line for fault in caught.value.faults}


def test_a_rule_points_at_the_very_character() -> None:
    text = TEXT.replace("crush_body AND (", "crush_body ADN (")
    with pytest.raises(InputError) as caught:
        read(text)
    (fault,) = caught.value.faults
    assert fault.place.column == len("crush_body ") + 1


def test_two_items_may_not_share_a_code() -> None:
    item = TEXT[TEXT.index("[[item]]") :]
    with pytest.raises(InputError, match=r"code is used twice, first on line 11"):
        read(TEXT + item)
