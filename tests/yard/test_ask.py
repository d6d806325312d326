"""From brief and build to what a layout rests on, on the invented demonstration farms."""

import math
from pathlib import Path

import pytest

from stockproof.brief import read_brief
from stockproof.brief.yard_table import YardTable
from stockproof.catalogue import read_catalogue
from stockproof.errors import InputError
from stockproof.installation import Installation, install
from stockproof.yard import lay_out
from stockproof.yard.ask import ask

EXAMPLES = Path(__file__).parents[2] / "examples"


def installation(farm: str) -> Installation:
    catalogue = read_catalogue(EXAMPLES / "firm" / "catalogue.toml")
    return install(read_brief(EXAMPLES / farm / "brief.toml"), catalogue)


@pytest.mark.parametrize("farm", ["hill", "feedlot", "dairy"])
def test_demonstration_farms_get_a_yard(farm: str) -> None:
    wanted = ask(installation(farm))
    yard = lay_out(wanted)
    held = sum(zone.head for zone in yard.zones if zone.key.startswith("receiving"))
    assert held == wanted.mob.head
    spots = {spot.key for spot in yard.spots}
    assert {point.name for point in wanted.control_points} <= spots


def test_build_gives_the_dimensions() -> None:
    wanted = ask(installation("hill"))
    assert wanted.machine.ways == 3
    assert wanted.forcing.shapes == ("part circle",)
    assert wanted.race.floor_width_m is not None
    assert wanted.race.clear_width_m is not None
    assert wanted.race.floor_width_m < wanted.race.clear_width_m
    assert dict(wanted.machine.moving_parts)["bail"] == wanted.machine.crush_length_m
    remote = next(point for point in wanted.control_points if point.at_m is None)
    assert "bail" in remote.moves


def test_promise_says_how_many_are_held() -> None:
    wanted = ask(installation("feedlot"))
    assert (wanted.held, wanted.mob.head) == ("yearling lot", 400)


def test_race_that_stays_counts_with_its_length_and_width() -> None:
    plain = installation("dairy")
    stays = plain.brief.file.site.existing_race
    assert stays is not None
    wanted = ask(plain)
    assert wanted.race.length_m is not None
    assert wanted.race.length_m > stays.length_m
    stretches = {stretch.name: stretch.clear_width_m for stretch in wanted.race.others}
    stretches[wanted.race.name] = wanted.race.clear_width_m or 0.0
    assert stretches["race that stays"] == stays.clear_width_m


def test_nothing_is_made_up_where_the_table_is_silent() -> None:
    wanted = ask(installation("hill"))
    assert wanted.site.gateways == ()
    assert wanted.truck is None
    assert wanted.site.sun_bearing_rad is None
    assert wanted.impact is None


def test_table_s_words_arrive() -> None:
    table = YardTable.model_validate(
        {
            "guide": "ireland",
            "mob": "weaners",
            "head": "120 head",
            "gateway": [{"name": "lane", "at": [0, 20], "width": "4.2 m", "serves": ["stock"]}],
            "existing": [{"name": "woolshed", "kind": "shed", "corners": [[1, 1], [9, 1], [9, 7]], "height": "4 m"}],
            "truck": {},
            "sun": "80 deg",
            "move": [{"part": "power pack", "east": 2.0}],
            "resize": [{"part": "receiving pen 1", "area": "60 m2"}],
        }
    )
    wanted = ask(installation("hill"), table)
    assert (wanted.guide, wanted.held, wanted.mob.head) == ("ireland", "weaners", 120)
    assert wanted.site.gateways[0].width_m == 4.2
    assert wanted.site.existing[0].kind == "shed"
    assert wanted.truck is not None
    assert wanted.truck.deck_height_m == 1.219
    assert wanted.site.sun_bearing_rad == pytest.approx(math.radians(80.0))
    assert wanted.moves[0].east_m == 2.0
    assert wanted.resizes[0].area_m2 == 60.0


def test_unknown_mob_is_refused() -> None:
    with pytest.raises(InputError, match="is no mob of this brief"):
        ask(installation("hill"), YardTable(mob="goats"))
