"""The form of the exported files: names, comments, blocks, configuration, and the interchange file's structure."""

from __future__ import annotations

import datetime
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockproof.errors import InternalError, Place
from stockproof.logic import lower
from stockproof.logic.export.blocks import into_blocks
from stockproof.logic.export.evaluator import Machine
from stockproof.logic.export.grammar import read_units
from stockproof.logic.export.layout import duration_literal
from stockproof.logic.export.lists import addresses
from stockproof.logic.export.names import DRAFT, RESERVED, Namer, comment, source_of
from stockproof.logic.export.people import Program
from stockproof.logic.export.plcopen import NAMESPACE, XHTML, plcopen_xml
from stockproof.logic.export.rules import Definition, Differs, Rulebook, Term
from stockproof.logic.export.structured_text import code_of, configuration_text, structured_text
from stockproof.netlist.expression import Name
from stockproof.netlist.kernel import fresh

from .builds import BUILDS, build

DAY = datetime.date(2026, 3, 2)
#: Names as the rules allow them, and ones that are hard to keep apart.
NAMES = st.text("ab_.9", min_size=1, max_size=6).map(lambda tail: f"s{tail}") | st.sampled_from(sorted(RESERVED))


@given(st.lists(NAMES, unique=True, max_size=12))
@settings(max_examples=100, deadline=None)
def test_every_name_gets_an_identifier_of_its_own_that_the_standard_allows(names: list[str]) -> None:
    namer = Namer()
    given_ = [namer(name) for name in names]
    assert len({word.lower() for word in given_}) == len(names)
    assert [namer(name) for name in names] == given_
    for word in given_:
        assert word.isascii()
        assert word[0].isalpha()
        assert "__" not in word
        assert not word.endswith("_")
        assert word.lower() not in RESERVED


def test_names_that_flatten_alike_are_told_apart() -> None:
    namer = Namer()
    assert [namer(n) for n in ("a.b_c", "a_b.c", "step", "a__b", "9.x")] == [
        "a_b_c",
        "a_b_c_2",
        "the_step",
        "a_b",
        "n_9_x",
    ]


@given(st.text(max_size=40))
@settings(max_examples=150, deadline=None)
def test_no_words_can_end_a_comment_or_begin_another(text: str) -> None:
    written = comment(text)
    assert written.startswith("(* ")
    assert written.endswith(" *)")
    assert "(*" not in written[2:]
    assert "*)" not in written[:-2]
    assert "\n" not in written
    source = f"PROGRAM p\nVAR_INPUT\n    a : BOOL; {written}\nEND_VAR\nVAR_OUTPUT\n    q : BOOL;\nEND_VAR\n"
    assert Machine(f"{source}q := a;\nEND_PROGRAM\n").scan({"a": True}, 0.0) == {"q": True}


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (Place("fragments/line.toml", 9, "rule[1]"), "[fragments/line.toml, line 9]"),
        (Place("some/folder/catalogue.toml", 12), "[catalogue.toml, line 12]"),
        (Place("own.toml"), "[own.toml]"),
        (Place(), ""),
    ],
)
def test_a_rules_place_is_told_without_the_readers_folders(place: Place, said: str) -> None:
    assert source_of(place) == said


@pytest.mark.parametrize(
    ("seconds", "literal"), [(4.0, "T#4s"), (0.5, "T#500ms"), (2.25, "T#2250ms"), (0.0125, "T#12.5ms"), (90.0, "T#90s")]
)
def test_time_literals_are_exact(seconds: float, literal: str) -> None:
    assert duration_literal(seconds) == literal


def definition(name: str, *reads: str) -> Definition:
    return Definition(name, "all", tuple(Term(Name(word)) for word in reads))


def test_a_part_is_one_block_wherever_the_order_allows_it() -> None:
    wanted = [definition("a.x", "in"), definition("b.x", "a.x"), definition("a.y", "in")]
    assert [(b.name, b.gives, b.reads) for b in into_blocks(wanted, ["in"])] == [
        ("a", ("a.x", "a.y"), ("in",)),
        ("b", ("b.x",), ("a.x",)),
    ]


def test_a_part_that_reads_what_reads_it_is_called_twice() -> None:
    wanted = [definition("a.z", "b.x"), definition("a.x", "in"), definition("b.x", "a.x")]
    assert [(b.name, b.gives) for b in into_blocks(wanted, ["in"])] == [
        ("a", ("a.x",)),
        ("b", ("b.x",)),
        ("a 2", ("a.z",)),
    ]


def test_a_circle_of_definitions_is_our_own_bug() -> None:
    with pytest.raises(InternalError, match=r"^definitions in a circle: a.x, b.x$"):
        into_blocks([definition("a.x", "b.x"), definition("b.x", "a.x")], [])


@pytest.mark.parametrize("name", BUILDS)
def test_the_text_tells_why_and_where_of_every_permit_and_request(name: str) -> None:
    assembly = build(name)
    text = structured_text(code_of(lower(assembly), assembly))
    flat = " ".join(text.replace("*)\n(*", "").replace("*)\n    (*", "").split())
    for motion in assembly.motions:
        for rule in (*motion.permits, *motion.requests):
            assert " ".join(rule.because.split()) in flat
            assert source_of(rule.place) in flat
    assert DRAFT in flat


@pytest.mark.parametrize("name", BUILDS)
def test_only_the_blocks_a_controller_has_are_used_and_files_are_the_same_every_time(name: str) -> None:
    netlist, assembly = lower(build(name)), build(name)
    code = code_of(netlist, assembly)
    own = {pou.name for pou in code.pous}
    types = {v.type for pou in code.pous for v in (*pou.inputs, *pou.outputs, *pou.locals)}
    assert types - own <= {"BOOL", "INT", "TON", "RS", "SR", "R_TRIG"}
    assert structured_text(code) == structured_text(code_of(lower(build(name)), build(name)))
    assert code.form == "rules"
    assert len(fresh(netlist)) == len(netlist)


def test_rules_of_another_installation_are_not_taken_for_the_netlists_own() -> None:
    netlist = lower(build("maximal"))
    with pytest.raises(Differs):
        Rulebook(netlist, build("small"))
    assert code_of(netlist, build("small")).form == "operations"


def test_a_rule_that_says_something_else_is_found_out() -> None:
    assembly = build("small")
    netlist = lower(assembly)
    first, *others = assembly.motions
    wrong = replace(first.permits[0], when=Name("panel.stop"))
    altered = replace(assembly, motions=(replace(first, permits=(wrong, *first.permits[1:])), *others))
    with pytest.raises(Differs, match=r"permit\.1"):
        Rulebook(netlist, altered)


def test_the_configuration_runs_the_program_on_every_input_and_output() -> None:
    assembly = build("dairy")
    netlist = lower(assembly)
    code = code_of(netlist, assembly)
    places = addresses(Program(netlist, assembly, code, Rulebook(netlist, assembly)))
    text = configuration_text(code, places)
    assert read_units(text) == ()
    assert len(set(places.values())) == len(code.inputs) + len(code.outputs)
    for name, word in code.inputs.items():
        assert f"    {word} AT {places[name]} : BOOL;" in text
        assert places[name].startswith("%IX")
        assert f"{word} := {word}" in text
    for name, word in code.outputs.items():
        assert places[name].startswith("%QX")
        assert f"{word} => {word}" in text


@pytest.mark.parametrize("form", ["rules", "operations"])
def test_the_interchange_file_has_the_standards_structure(form: str) -> None:
    """Required heads, both type lists, every unit with interface and body, text inside XHTML, a task that runs it."""
    assembly = build("maximal")
    code = code_of(lower(assembly), assembly if form == "rules" else None)
    root = ElementTree.fromstring(plcopen_xml(code, "A line", "An invented firm", DAY))
    p = f"{{{NAMESPACE}}}"
    assert [child.tag for child in root] == [p + n for n in ("fileHeader", "contentHeader", "types", "instances")]
    head = root.find(f"{p}fileHeader")
    assert head is not None
    assert {"companyName", "productName", "productVersion", "creationDateTime"} <= set(head.attrib)
    assert head.attrib["creationDateTime"] == "2026-03-02T00:00:00"
    assert [child.tag for child in root.iter() if child.tag.endswith("scaling")] == [f"{p}scaling"] * 3
    assert [child.tag for child in root.find(f"{p}types") or ()] == [f"{p}dataTypes", f"{p}pous"]
    assert root.findtext(f"{p}contentHeader/{p}Comment") == DRAFT
    pous = root.findall(f"{p}types/{p}pous/{p}pou")
    assert [pou.attrib["name"] for pou in pous] == [pou.name for pou in code.pous]
    for element, pou in zip(pous, code.pous, strict=True):
        assert element.findtext(f"{p}body/{p}ST/{{{XHTML}}}pre") == "\n".join(pou.body)
        names = [v.attrib["name"] for v in element.iter(f"{p}variable")]
        assert names == [v.name for v in (*pou.inputs, *pou.outputs, *pou.locals)]
        for v in element.iter(f"{p}variable"):
            (kind,) = list(v.iterfind(f"{p}type/*"))
            assert kind.tag in (f"{p}BOOL", f"{p}INT") or (kind.tag == f"{p}derived" and kind.attrib["name"])
    task = root.find(f"{p}instances/{p}configurations/{p}configuration/{p}resource/{p}task")
    assert task is not None
    assert task.attrib["interval"] == "T#20ms"
    (instance,) = task
    assert instance.attrib == {"name": "Run", "typeName": code.program.name}


def test_the_interchange_file_holds_any_words() -> None:
    assembly = build("small")
    code = code_of(lower(assembly), assembly)
    words = ']]> <a> & "\'" \x00\x07 \ud800 Ω'
    root = ElementTree.fromstring(plcopen_xml(code, words, words, DAY))
    head = root.find(f"{{{NAMESPACE}}}fileHeader")
    assert head is not None
    assert head.attrib["companyName"].startswith(']]> <a> & "\'" ')
