"""The room's front: promises ask for shares, what fails is mended, findings are data, figures reach the ledger."""

from __future__ import annotations

from functools import cache

import pytest

from stockproof import fit, herd
from stockproof.brief import read_brief
from stockproof.errors import InternalError
from stockproof.figures import Ledger
from stockproof.fit import CODES, FitResult, MobFit
from stockproof.installation import Chosen, Installation, install
from stockproof.units import Units
from tests.fit.support import EXAMPLES, catalogue, changed, first_of, installed
from tests.herd.support import brief_of

FARMS = ("hill", "feedlot", "dairy")


@cache
def installation_of(farm: str) -> Installation:
    return install(read_brief(EXAMPLES / farm / "brief.toml"), catalogue())


@cache
def result_of(farm: str) -> FitResult:
    return fit.assess(installation_of(farm))


@pytest.mark.parametrize("farm", FARMS)
def test_every_mob_and_task_of_a_farm_is_looked_at(farm: str) -> None:
    result, brief = result_of(farm), installation_of(farm).brief
    assert [mob.mob for mob in result.mobs] == list(brief.mobs)
    for mob in result.mobs:
        assert 0 <= mob.share <= 1
        assert mob.share <= min(check.share for check in mob.checks if check.counts) + 1e-9
        assert mob.tightest is not None
        assert bool(mob.failing) != mob.fits
        for check in mob.checks:
            assert [animal.percentile for animal in check.animals] == list(fit.PERCENTILES)
            sizes = [animal.size for animal in check.animals]
            assert sizes == sorted(sizes)
    for programme in brief.file.programme:
        tasks = [row.task for row in result.programme(programme.name) if row.task in brief.tasks]
        assert tasks == list(programme.tasks)
        assert len([p for p in result.pairs if p.programme == programme.name]) == len(tasks) * (len(tasks) - 1) // 2


@pytest.mark.parametrize("farm", FARMS)
def test_a_mend_that_breaks_no_rule_truly_lets_more_of_the_mob_fit(farm: str) -> None:
    base = installation_of(farm)
    for mob in result_of(farm).mobs:
        for check in mob.failing:
            for mend in check.mends:
                kept = tuple(chosen for chosen in base.build if chosen.item.code != mend.replaces)
                mended = Installation(base.brief, base.catalogue, (*kept, Chosen(base.catalogue.by_code[mend.item], 1)))
                again = fit.assess(mended, [herd.mob(base.brief, mob.mob)]).mobs[0]
                assert mend.share_everywhere == pytest.approx(again.share)
                assert again.share > mob.share


def mob_fit(*changes: tuple[str, str], **attributes: float) -> MobFit:
    bail = changed(first_of("head_bail", code="bail_heavy"), **attributes)
    return fit.assess(installed([bail], brief_of(*changes))).mobs[0]


def test_a_bail_too_tight_for_the_neck_is_named_with_what_mends_it() -> None:
    tight = mob_fit(neck_max_m=0.15)
    check = tight.failing[0]
    assert (check.code, check.item, check.unit, check.at_most) == ("bail.neck_most", "bail_heavy", "m", True)
    assert check.limiting.margin < 0
    assert check.limiting.margin == pytest.approx(0.15 - check.limiting.size)
    assert check.mends
    assert all(mend.replaces == "bail_heavy" and (mend.share or 0) >= tight.required_share for mend in check.mends)


def test_limits_that_fail_only_together_still_name_the_tightest() -> None:
    alone = mob_fit(('kind = "fits"', 'kind = "fits"\nshare = "1 %"'), neck_max_m=0.19, neck_min_m=0.165)
    low, high = (next(c for c in alone.checks if c.code == f"bail.neck_{end}") for end in ("least", "most"))
    asked = round(100 * (alone.share + min(low.share, high.share)) / 2, 2)
    both = mob_fit(('kind = "fits"', f'kind = "fits"\nshare = "{asked} %"'), neck_max_m=0.19, neck_min_m=0.165)
    assert both.share < both.required_share <= min(low.share, high.share)
    assert both.failing == (both.tightest,)


def test_what_is_never_done_to_a_mob_is_advice() -> None:
    held = mob_fit(neck_min_m=0.30)
    walked = mob_fit(("hold = true", "hold = false"), neck_min_m=0.30)
    assert held.share < 0.01
    assert walked.share > 0.9
    advice = next(check for check in walked.checks if check.code == "bail.neck_least")
    assert not advice.counts
    assert advice.share < 0.01


def test_the_highest_share_a_promise_asks_of_a_mob_holds() -> None:
    twice = (
        'kind = "fits"',
        'kind = "fits"\nshare = "90 %"\n\n[[promise]]\nkind = "fits"\nmobs = ["cows"]\nshare = "96 %"',
    )
    assert fit.required_share(installed([first_of("head_bail")], brief_of(twice)), "cows") == 0.96
    assert fit.required_share(installed([first_of("head_bail")]), "cows") == 0.98


def test_a_promise_of_every_animal_is_read_at_the_last_one() -> None:
    every = mob_fit(('kind = "fits"', 'kind = "fits"\nshare = "100 %"'))
    assert every.checks[0].limiting.percentile == 1 - 0.5 / 200


FINDINGS = [
    ('weight_mean = "540 kg"', 'weight_mean = "250 kg"', "weight_outside_class", "beef cows have 360 kg to 900 kg"),
    ('weight_spread = "9 %"', 'weight_spread = "3 %"', "spread_below_published", "10 % is usual for beef cows"),
    ('stock_class = "cow"', 'stock_class = "cow_with_calf"', "calf_at_foot", "200 cows"),
]


@pytest.mark.parametrize(("old", "new", "code", "text"), FINDINGS)
def test_what_looks_wrong_about_a_mob_is_a_finding(old: str, new: str, code: str, text: str) -> None:
    found = fit.assess(installed([first_of("head_bail")], brief_of((old, new)))).findings
    assert [f.code for f in found if f.code == code] == [code]
    assert text in next(f.text for f in found if f.code == code)
    usual = fit.assess(installed([first_of("head_bail")])).findings
    assert code not in [f.code for f in usual]


def test_a_finding_is_said_in_the_units_of_the_market() -> None:
    brief = brief_of(('weight_mean = "540 kg"', 'weight_mean = "250 kg"'))
    found = fit.assess(installed([first_of("head_bail")], brief)).findings[0]
    assert found.text == "mean weight 250 kg; beef cows have 360 kg to 900 kg"
    assert found.said(Units({"mass": "lb"})) == "mean weight 551 lb; beef cows have 794 lb to 1984 lb"


def test_braces_in_a_name_are_left_alone() -> None:
    named = ('"Person 1"', '"Person {0}"'), ('skills = ["stock", "controls", "husbandry"]', 'skills = ["stock"]')
    lacks = fit.assess(installed([first_of("head_bail")], brief_of(*named))).lacks("autumn cows")
    assert any("Person {0}" in lack.text for lack in lacks)


RACE = "[[person]]", '[site.existing_race]\nlength = "9 m"\nclear_width = "{}"\nside_height = "{}"\n\n[[person]]'


def with_race(width: str, height: str) -> FitResult:
    return fit.assess(installed([first_of("head_bail")], brief_of((RACE[0], RACE[1].format(width, height)))))


def test_a_race_that_stays_is_a_limit_like_any_other() -> None:
    result = with_race("520 mm", "1.4 m")
    check = next(check for check in result.mobs[0].failing if check.code == "race.hips")
    assert check.item == fit.EXISTING_RACE
    assert all(mend.replaces == fit.EXISTING_RACE for mend in check.mends)
    said = {f.code: f.text for f in result.findings}
    assert "sides 1.4 m; 1.52 m for usual stock" in said["race_sides_low"]
    assert (
        "0.52 m is narrower than Arkansas extension (Midwest pattern) asks, 0.66 m to 0.711 m"
        in (said["race_against_guide"])
    )
    assert result.mobs[0].race is not None
    assert result.mobs[0].race.head == 5  # 9 m at 1.7 m a medium cow


def test_guides_are_named_and_their_conflict_stays_visible() -> None:
    rows = {row.guide: row.answer for row in with_race("700 mm", "1.7 m").mobs[0].guides}
    assert rows["Arkansas extension (Midwest pattern)"] == "within"
    assert rows["Australian pattern"] == "within"
    assert rows["Beef Breeder Manual"] == "narrower"
    assert with_race("700 mm", "1.7 m").findings == ()


def test_small_animals_in_a_wide_race_can_turn_round() -> None:
    small = ('stock_class = "cow"', 'stock_class = "calf"'), ('weight_mean = "540 kg"', 'weight_mean = "120 kg"')
    race = (RACE[0], RACE[1].format("700 mm", "1.7 m"))
    calves = fit.assess(installed([first_of("head_bail")], brief_of(*small, race))).mob("cows")
    assert calves.turning_share > 0.9
    assert with_race("700 mm", "1.7 m").mob("cows").turning_share < 0.02


def test_an_assumption_of_the_room_can_be_moved() -> None:
    tight = installed([changed(first_of("head_bail"), clear_height_m=1.4), first_of("crush_body")])
    usual, roomier = fit.assess(tight), fit.assess(tight, changes={"fit.headroom": 0.4})
    height = [next(c for c in r.mobs[0].checks if c.code == "crush.height") for r in (usual, roomier)]
    assert height[1].limiting.margin == pytest.approx(height[0].limiting.margin - 0.2)
    assert {a.name for a in usual.assumptions} >= {"fit.headroom", "herd.cow.hip_width", "herd.hip_width.spread"}


def test_a_change_of_an_assumption_that_is_not_there_is_refused() -> None:
    with pytest.raises(InternalError, match=r"^no assumption of herd or fit is called fit\.headrom$"):
        fit.assess(installed([first_of("head_bail")]), changes={"fit.headrom": 0.4})


@pytest.mark.parametrize("length", ["3 m", "40 m"])
def test_a_race_too_short_or_too_long_for_a_guide_is_a_finding(length: str) -> None:
    race = RACE[1].format("700 mm", "1.7 m").replace("9 m", length)
    found = fit.assess(installed([first_of("head_bail")], brief_of((RACE[0], race)))).findings
    assert {f.code for f in found} == {"race_length"}


@pytest.mark.parametrize("farm", FARMS)
def test_results_reach_the_ledger_once(farm: str) -> None:
    ledger = Ledger()
    fit.publish(result_of(farm), ledger)
    for mob in result_of(farm).mobs:
        assert ledger[f"fit.{mob.mob}.share"].value == mob.share
    assert ledger["fit.tasks_covered"].value == sum(row.covered for row in result_of(farm).tasks)
    assert all(figure.band is not None for figure in ledger.assumptions())


def test_findings_have_known_codes_and_every_code_is_explained() -> None:
    for farm in FARMS:
        result = result_of(farm)
        for found in (*result.findings, *(lack for row in result.tasks for lack in row.lacks)):
            assert found.code in CODES
    assert all(m.what and m.why and m.mend and m.source for m in CODES.values())


def test_a_mob_that_was_not_assessed_is_our_own_mistake() -> None:
    with pytest.raises(InternalError, match=r"^mob 'goats' was not assessed; there are cows$"):
        fit.assess(installed([first_of("head_bail")])).mob("goats")


def test_the_same_build_gives_the_same_result() -> None:
    assert fit.assess(installation_of("hill")) == result_of("hill")
