"""A brief with a mistake says file, line, key, value, what is allowed and the mend; several at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from stockproof.brief import Brief, check_brief
from stockproof.errors import InputError
from stockproof.tomlfile import parse_toml


def read(text: str, folder: Path = Path()) -> Brief:
    return check_brief(parse_toml(text.encode(), "brief.toml", folder))


def line_of(text: str, words: str) -> int:
    return next(i for i, line in enumerate(text.splitlines(), 1) if words in line)


def test_the_template_is_a_brief(template: str) -> None:
    brief = read(template)
    assert brief.mobs["cows"].weight_mean_kg == 540.0
    assert brief.file.site.boundary_m[2] == (40.0, 30.0)
    assert brief.tasks["inject_neck"].time_s == 9.0


MISTAKES = [
    ('weight_mean = "540 kg"', 'weight_mean = "540 kN"', "mob[1].weight_mean", "'540 kN' is not a mass"),
    ('weight_mean = "540 kg"', "weight_mean = 540", "mob[1].weight_mean", "540 has no unit"),
    ('stock_class = "cow"', 'stock_class = "cwo"', "mob[1].stock_class", "did you mean 'cow'?"),
    ('weight_spread = "9 %"', 'weight_sprad = "9 %"', "mob[1].weight_sprad", "did you mean 'weight_spread'?"),
    ('mob = "cows"', 'mob = "cow"', "programme[1].mob", "is no mob of this brief"),
    ('tasks = ["inject_neck"', 'tasks = ["inject_nek"', "programme[1].tasks", "did you mean 'inject_neck'?"),
    ('cost = "35 NZD/h"', 'cost = "35 USD/h"', "person[1].cost", "another currency"),
    ('cost = "35 NZD/h"', 'cost = "35 NZD"', "person[1].cost", "is not an amount of money"),
    ("head = 200", "head = 0", "mob[1].head", "greater than or equal to 1"),
    ("format = 1", "format = 2", "format", "is not one of the words allowed here"),
    ('kind = "fits"', 'kind = "fit"', "promise[1].kind", "did you mean 'fits'?"),
    ("sort = false", "sort = true", "programme[1].sorted_by", "does not agree with the sort switch"),
    ('altitude = "100 m"', "", "site.altitude", "is missing"),
    ("paid = false", 'paid = "perhaps"', "person[1].paid", "valid boolean"),
    (
        "sort = false",
        'sort = false\nbreaks = [{ after = "3 h", lasts = "20 min" }, { after = "2 h", lasts = "20 min" }]',
        "programme[1].breaks[2].after",
        "does not lie between the break before it",
    ),
    ("sort = false", 'sort = false\nstarts = "7.30"', "programme[1].starts", "pattern"),
    ('operator_side = "left"', 'operator_side = ["left"]', "site.operator_side", "is not one of the words"),
]


@pytest.mark.parametrize(("old", "new", "key", "complaint"), MISTAKES, ids=[m[2] + "-" + m[3][:12] for m in MISTAKES])
def test_a_mistake_names_its_place_and_its_mend(template: str, old: str, new: str, key: str, complaint: str) -> None:
    assert old in template
    text = template.replace(old, new, 1)
    with pytest.raises(InputError) as caught:
        read(text)
    message = str(caught.value)
    assert key in message
    assert complaint in message
    (fault,) = [fault for fault in caught.value.faults if fault.place.key.startswith(key.rsplit(".", 1)[0])][:1]
    assert fault.place.file == "brief.toml"
    if new and "kind" not in new and "sort" not in new:
        assert fault.place.line == line_of(text, new)


def test_several_mistakes_are_told_at_once_in_reading_order(template: str) -> None:
    text = template.replace('"230 V"', '"230 A"').replace("head = 200", "head = -3").replace('"9 %"', '"9 kg"')
    with pytest.raises(InputError) as caught:
        read(text)
    lines = [fault.place.line or 0 for fault in caught.value.faults]
    assert len(lines) == 4
    assert lines == sorted(lines)


def test_weights_come_in_one_way_and_from_beside_the_brief(template: str, tmp_path: Path) -> None:
    both = template.replace('weight_mean = "540 kg"', 'weight_mean = "540 kg"\nweights_csv = "w.csv"')
    with pytest.raises(InputError, match="does not say its weights in one way"):
        read(both, tmp_path)
    only = template.replace('weight_mean = "540 kg"\nweight_spread = "9 %"', 'weights_csv = "w.csv"')
    with pytest.raises(InputError, match=r"w.csv cannot be read"):
        read(only, tmp_path)
    (tmp_path / "w.csv").write_text("tag,weight_kg\n" + "\n".join(f"{i},{400 + i}" for i in range(20)) + "\n21,heavy\n")
    with pytest.raises(InputError, match=r"w.csv, line 22, weight_kg: is no weight of a bovine animal"):
        read(only, tmp_path)
    (tmp_path / "w.csv").write_text("tag,weight_kg\n" + "\n".join(f"{i},{400 + i}" for i in range(20)) + "\n")
    assert read(only, tmp_path).weights_kg["cows"][:2] == (400.0, 401.0)
    outside = only.replace('"w.csv"', '"../w.csv"')
    with pytest.raises(InputError, match="must be a file beside the brief"):
        read(outside, tmp_path)


def test_a_farm_may_state_its_own_task_time(template: str) -> None:
    brief = read(template + '\n[[task]]\ntask = "pour_on"\ntime = "7 s"\n')
    assert brief.tasks["pour_on"].time_s == 7.0
    assert brief.tasks["pour_on"].source == "brief"


@pytest.mark.parametrize(
    ("ring", "crossed"),
    [
        ("[[0, 0], [40, 20], [40, 0], [0, 20]]", True),
        ("[[0, 0], [40, 0], [40, 20], [0, 20]]", False),
        ("[[0, 0], [40, 0], [40, 20], [20, 5], [0, 20]]", False),
        ("[[0, 0], [40, 0], [40, 20], [20, -5], [0, 20]]", True),
    ],
)
def test_a_boundary_that_crosses_itself_is_refused_where_it_stands(ring: str, crossed: bool) -> None:
    example = Path(__file__).parents[2] / "examples" / "dairy" / "brief.toml"
    stated = re.compile(r"boundary = \[\[.*?\]\]", re.DOTALL)
    text, count = stated.subn(f"boundary = {ring}", example.read_text(), count=1)
    assert count == 1
    if not crossed:
        assert read(text, example.parent).file.site.boundary_m
        return
    with pytest.raises(InputError, match=r"site\.boundary: crosses itself"):
        read(text, example.parent)
