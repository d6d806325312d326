"""What may be taken hold of on the plan, and that a layout held where it stands is the same layout."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from stockproof.yard import DoesNotFit
from stockproof.yard.handles import handles, hold, moved_by, set_down_at
from stockproof.yard.model import Fix
from tests.yard.sample import SHED, ask, laid_out, site


def test_every_space_and_the_pack_may_be_taken_hold_of_and_only_pens_be_sized() -> None:
    yard = laid_out(ask(site=site("open", existing=(SHED,))))
    found = {handle.key: handle for handle in handles(yard)}
    assert {zone.key for zone in yard.zones} | {"power pack", SHED.name} <= set(found)
    assert {key for key, handle in found.items() if handle.area_m2 is not None} == {
        zone.key for zone in yard.zones if zone.kind in ("pen", "draft pen", "sick pen")
    }
    assert found["crush"].kind == found["race"].kind == "line"
    assert found[SHED.name].kind == "existing"


@pytest.mark.parametrize("families", [(), ("straight",), ("half",)])
def test_a_layout_held_where_it_stands_stays_as_it_is(families: tuple[str, ...]) -> None:
    asked = ask(families=families)
    yard = laid_out(asked)
    kept = hold(yard)
    again = laid_out(
        replace(
            asked,
            fix=Fix(*kept.at, kept.bearing_rad + asked.site.north_rad, form=kept.form),
            families=(kept.family,),
            draft_hold_share=kept.draft_hold_share,
        )
    )
    for before, after in zip(yard.zones, again.zones, strict=True):
        assert before.key == after.key
        for a, b in zip(before.ring, after.ring, strict=True):
            assert math.dist(a, b) < 0.03  # the place is written to the centimetre


def test_a_held_form_that_cannot_be_drawn_is_said_and_nothing_else_is_drawn_instead() -> None:
    asked = ask()
    kept = hold(laid_out(asked))
    assert kept.form is not None
    fix = Fix(*kept.at, kept.bearing_rad, form=replace(kept.form, draft_length_m=0.5))
    with pytest.raises(DoesNotFit) as refused:
        laid_out(replace(asked, fix=fix, families=(kept.family,)))
    assert "cannot be drawn in the form that is held by hand" in refused.value.faults[0].allowed
    assert "take [yard.fix.form] out" in refused.value.faults[0].mend


def test_set_down_elsewhere_is_shifted_and_turned_to_the_right() -> None:
    yard = laid_out(ask())
    now, then = hold(yard), set_down_at(yard, (1.5, -2.0), math.radians(5.0))
    assert then.at == moved_by(now.at, (1.5, -2.0))
    turned = math.degrees(then.bearing_rad - now.bearing_rad) % 360.0
    assert turned == pytest.approx(5.0, abs=0.011)
    assert then.family == now.family
