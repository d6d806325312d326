"""Relief as it is judged: from the parts that are there, with a mend that the build does not have already."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

from stockproof import power
from stockproof.brief import promises as kinds
from stockproof.installation import Installation
from stockproof.logic.faults import single_faults
from stockproof.power.failures import single_failures
from stockproof.proof import read_installation
from stockproof.proof.machine import assemble, reliefs
from stockproof.proof.ruling import JUDGES, Ruling

EXAMPLES = Path(__file__).parents[2] / "examples"
CATALOGUE = EXAMPLES / "firm" / "catalogue.toml"


def ruled(installation: Installation) -> Ruling:
    control = assemble(installation, None)
    found = reliefs(control, single_faults(control.netlist, control.plant))
    left = SimpleNamespace(by_hand=True, from_store=1)
    rooms = SimpleNamespace(
        checked=object(),
        reliefs=found,
        installation=installation,
        power=SimpleNamespace(releases_after=lambda after_s: left),
    )
    promise = SimpleNamespace(without_electricity=True)
    return JUDGES[kinds.Relief](promise, rooms)  # type: ignore[arg-type]


def catalogue_with_bypasses(folder: Path, *codes: str) -> Path:
    """The example's catalogue with a bypass at the cylinder of some items."""
    head, *items = CATALOGUE.read_text().split("[[item]]\n")
    fitted = (
        item.replace("manual_override = true", "manual_override = true, bypass = true")
        if any(item.startswith(f'code = "{code}"') for code in codes)
        else item
        for item in items
    )
    made = folder / "catalogue.toml"
    made.write_text("[[item]]\n".join([head, *fitted]))
    return made


def test_an_override_is_no_mend_for_a_stuck_spool_and_a_bypass_is(tmp_path: Path) -> None:
    brief = EXAMPLES / "hill" / "brief.toml"
    bare = read_installation(brief, CATALOGUE)
    ruling = ruled(bare)
    assert ruling.state == "not met"
    assert "its override works the same spool" in ruling.because
    assert "bail: a bypass at its cylinder, worked by hand, which no item of this catalogue has" in ruling.mend
    stuck = next(f for f in single_failures(power.prepare(power.circuit(bare))) if f.code == "valve_stuck.bail")
    assert "its override works the same spool" in stuck.remains

    # another bail of the catalogue has one: the mend names it
    other = read_installation(brief, catalogue_with_bypasses(tmp_path, "bail_heavy_wide"))
    named = next(item.name for item in other.catalogue.items if item.code == "bail_heavy_wide")
    assert f"bail: a bypass at its cylinder, worked by hand ({named})" in ruled(other).mend

    mended = read_installation(brief, catalogue_with_bypasses(tmp_path, "bail_light_quick", "squeeze_both"))
    assert ruled(mended).state == "met"


def test_without_store_and_hand_pump_nothing_moves_once_everything_is_stopped() -> None:
    ruling = ruled(read_installation(EXAMPLES / "dairy" / "brief.toml", CATALOGUE))
    assert ruling.state == "not met"
    assert "there is no store and no hand pump" in ruling.because
    assert "an accumulator or a hand pump" in ruling.mend
