"""A story from the check of the control shows as numbered steps, with every word escaped."""

from __future__ import annotations

from stockproof.desk.parts import sections_html
from stockproof.dossier.display import Display
from stockproof.figures import Ledger
from stockproof.scene.pages import Section, Steps


def test_a_story_is_a_numbered_list() -> None:
    story = Steps("Shortest way there", ("A worker opens the <rear> gate.", "The entry opens."))
    html = sections_html([Section("The control", (story,))], Ledger(), Display())
    assert "<ol><li>A worker opens the &lt;rear&gt; gate.</li><li>The entry opens.</li></ol>" in html
