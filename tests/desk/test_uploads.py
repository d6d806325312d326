"""What people bring in: any text as brief, catalogue or weights is read or refused with its faults, and never more."""

from __future__ import annotations

from pathlib import Path

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from stockproof.desk import text as edits
from stockproof.desk.store import CATALOGUE, Papers, Store
from stockproof.desk.verbs import installation_of
from stockproof.errors import Fault, InputError
from tests.desk.test_work import HILL, papers_of

PAPERS = papers_of(HILL)
WEIGHTS = next(name for name in PAPERS.files if name != CATALOGUE)
ANY = st.text(st.characters(exclude_categories=["Cs"]), max_size=200)
QUIET = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


def taken(papers: Papers) -> bool:
    """Whether papers can be proved; what cannot says at least one fault with its place or its mend."""
    edits.values(papers.text)
    faults: tuple[Fault, ...] = ()
    try:
        installation_of(papers)
    except InputError as error:
        faults = error.faults
        if not faults or not all(fault.what for fault in faults):
            raise AssertionError("refused without a reason") from error
    return not faults


@QUIET
@given(ANY)
@example("")
@example("\ufeffformat = 1")
@example("\x00")
@example("a = " + "[" * 3000)
@example("a = " + "[" * 100_000)
def test_any_text_as_a_brief(text: str) -> None:
    assert not taken(Papers(text, PAPERS.files))


@QUIET
@given(st.integers(0, PAPERS.text.count("\n")), ANY)
def test_a_brief_with_one_line_torn(line: int, words: str) -> None:
    lines = PAPERS.text.split("\n")
    lines[line] = words
    taken(Papers("\n".join(lines), PAPERS.files))


@QUIET
@given(st.binary(max_size=200))
@example(b"\xff\xfe")
def test_any_bytes_as_a_catalogue(data: bytes) -> None:
    assert not taken(Papers(PAPERS.text, {**PAPERS.files, CATALOGUE: data}))


@QUIET
@given(st.binary(max_size=300))
@example(b"weight_kg\n1e999\n")
@example(b"weight_kg\nnan\n")
@example(b"\xff\xfe\x00")
def test_any_bytes_as_weights(data: bytes) -> None:
    taken(Papers(PAPERS.text, {**PAPERS.files, WEIGHTS: data}))


@QUIET
@given(st.sampled_from(["../w.csv", "/etc/passwd", "a/b.csv", "..\\w.csv", ".", "CON", "w\x00.csv"]))
def test_a_brief_that_names_a_file_elsewhere_reads_nothing_there(name: str) -> None:
    text = edits.set_value(PAPERS.text, ("mob", 0, "weights_csv"), name)
    assert not taken(Papers(text, PAPERS.files))


def test_what_was_brought_in_comes_out_byte_for_byte(tmp_path: Path) -> None:
    store = Store(tmp_path / "jobs.sqlite")

    @QUIET
    @given(ANY, st.dictionaries(ANY, st.binary(max_size=99), max_size=4))
    def keeps(text: str, files: dict[str, bytes]) -> None:
        job = store.create("t", Papers(text, files), "kim", f"link{len(store.jobs())}")
        assert store.head(job).papers == Papers(text, files)

    keeps()
    store.close()
