"""Timing animals in today's yard: a tap an animal, the head rate with its interval as it settles."""

from __future__ import annotations

from collections.abc import Callable

from stockproof.desk.bench import Bench
from stockproof.desk.elements import button, el
from stockproof.flow.tapped import LEAST_TAPS, TapRate, head_rate
from stockproof.units import Units

__all__ = ["tapping_part"]

USUAL = 30
READ = Units({})


def tapping_part(bench: Bench, take: Callable[[str], None]) -> None:
    """Build the stopwatch; `take` gets the head rate as the brief writes it."""
    el("h2", "Time animals in today's yard")
    el(
        "p",
        f"Tap once for each animal as it is let out, {USUAL} of them if you can. Stops count; a tap by mistake can be "
        "taken back.",
        "quiet",
    )
    tap = el("button", "Tap at the first animal", "tap", type="button")
    with el("div", classes="row"):
        back = button("Take back the last tap", lambda: undo(), "plain")  # noqa: PLW0108
        again = button("Begin again", lambda: clear(), "plain")  # noqa: PLW0108
        use = button("Use this rate", lambda: take(_rate_text(head_rate(bench.taps_s))))
    words = el("p", "", "", role="status")

    def show() -> None:
        rate, count = head_rate(bench.taps_s), len(bench.taps_s)
        tap._text = f"{count}" if count else "Tap at the first animal"
        tap.update()
        words._text = _words(rate, count)
        words.update()
        for shown, when in ((back, count > 0), (again, count > 0), (use, rate is not None)):
            shown.set_visibility(when)

    def undo() -> None:
        bench.taps_s.pop()
        show()

    def clear() -> None:
        bench.taps_s.clear()
        show()

    def tapped(at_ms: float) -> None:
        bench.taps_s.append(at_ms / 1000)
        show()

    tap.on("click", lambda event: tapped(float(event.args)), js_handler="(e) => emit(Date.now())")
    show()


def _words(rate: TapRate | None, count: int) -> str:
    if rate is None:
        return f"A rate is shown from {LEAST_TAPS} taps on." if count else ""
    low, high = (READ.text(value, "head rate") for value in (rate.low_head_per_s, rate.high_head_per_s))
    return (
        f"{_rate_text(rate)} from {rate.animals} animals; with 90 % confidence the mean lies between {low} and {high}. "
        f"Mean {READ.text(rate.mean_s, 'duration')}, spread {READ.text(rate.spread_share, 'share')}."
    )


def _rate_text(rate: TapRate | None) -> str:
    return READ.text(rate.head_per_s, "head rate") if rate else ""
