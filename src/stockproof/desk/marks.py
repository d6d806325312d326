"""The shape and word of a verdict, as markup."""

from __future__ import annotations

from html import escape

from stockproof.proof import State

__all__ = ["mark_svg", "verdict_html"]

#: A shape beside every verdict's word: filled square, open square, dash.
_SHAPES: dict[State, str] = {
    "met": '<rect width="11" height="11" fill="currentColor"/>',
    "not met": '<rect x="1" y="1" width="9" height="9" fill="none" stroke="currentColor" stroke-width="2"/>',
    "not shown": '<rect y="4.5" width="11" height="2" fill="currentColor"/>',
}


def mark_svg(state: State) -> str:
    """Give the shape of a verdict."""
    return f'<svg viewBox="0 0 11 11" aria-hidden="true">{_SHAPES[state]}</svg>'


def verdict_html(state: State, words: str = "") -> str:
    """Give a verdict as shape and word."""
    return f'<span class="verdict is-{state.replace(" ", "-")}">{mark_svg(state)}{escape(words or state)}</span>'
