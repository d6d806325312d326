"""The interface for programs: typed, described, and as strict as the pages."""

from __future__ import annotations

import asyncio
import json
from base64 import b64decode
from typing import Any

import httpx
import pytest
from jsonschema import Draft202012Validator

from stockproof.desk.api import MOST_WAITING, make
from stockproof.desk.store import CATALOGUE
from tests.desk import asgi
from tests.desk.hand import Inline
from tests.desk.loops import run
from tests.desk.test_work import HILL, papers_of


def body(**changes: Any) -> dict[str, Any]:
    papers = papers_of(HILL)
    files = {name: data.decode() for name, data in papers.files.items() if name != CATALOGUE}
    return {"brief": papers.text, "catalogue": papers.files[CATALOGUE].decode(), "files": files, **changes}


def post(path: str, **options: Any) -> httpx.Response:
    return asgi.ask(make(Inline()), "http://desk.test", "POST", path, **options)


def test_a_good_brief_is_good_and_a_bad_one_says_every_fault() -> None:
    assert post("/check", json=body()).json() == {"good": True, "faults": []}
    brief = body()["brief"].replace('outlet = "15 A"', 'outlet = "15 kg"')
    answer = post("/check", json=body(brief=brief))
    assert answer.status_code == 200
    (fault,) = answer.json()["faults"]
    assert (fault["key"], fault["file"]) == ("site.supply[1].outlet", "brief.toml")
    assert fault["line"] == brief.splitlines().index('outlet = "15 kg"') + 1


def test_a_proof_is_the_dossiers_verdicts_and_figures() -> None:
    answer = post("/prove", json=body())
    assert answer.status_code == 200
    proof = answer.json()
    assert proof["title"] == "Hill-country breeding and finishing farm"
    assert {verdict["state"] for verdict in proof["verdicts"]} <= {"met", "not met", "not shown"}
    names = {figure["name"] for figure in proof["figures"]}
    assert all(set(verdict["figures"]) <= names for verdict in proof["verdicts"])
    schema = make(Inline()).openapi()
    form = {**schema["components"]["schemas"]["ProofOut"], "components": schema["components"]}
    assert list(Draft202012Validator(form).iter_errors(proof)) == []


def test_what_cannot_be_proved_answers_422_with_its_faults() -> None:
    answer = post("/prove", json=body(brief="format = 1\n"))
    assert answer.status_code == 422
    assert any(fault["what"] == "is missing" for fault in answer.json()["faults"])


@pytest.mark.parametrize(
    "wrong",
    [
        {"brief": 3},
        {"files": {"../escape.csv": "x"}},
        {"files": {"/etc/x": "x"}},
        {"files": {".hidden": "x"}},
        {"files": {f"f{i}": "x" for i in range(51)}},
        {"more": "x"},
        {"brief": "x" * 1_000_001},
    ],
)
@pytest.mark.parametrize("path", ["/check", "/prove", "/draw", "/code"])
def test_a_body_of_another_form_is_refused(path: str, wrong: dict[str, Any]) -> None:
    assert post(path, json=body(**wrong)).status_code == 422


def test_half_a_character_is_refused_before_it_reaches_a_file() -> None:
    halved = json.dumps(body(brief="title = '\ud800'")).encode()
    answer = post("/check", content=halved, headers={"content-type": "application/json"})
    assert answer.status_code == 422
    assert answer.json()["faults"][0]["key"] == "brief"


def test_a_body_that_is_no_text_is_refused_in_the_same_form() -> None:
    answer = post("/check", content=b'{"brief": "\xff"}', headers={"content-type": "application/json"})
    assert answer.status_code == 400
    assert answer.json()["faults"][0]["file"] == "body"


def test_the_yard_is_drawn_and_the_control_written_as_drafts() -> None:
    drawings = post("/draw", json=body()).json()["drawings"]
    assert set(drawings) == {"yard-plan", "yard-section", "yard-setting-out"}
    assert all(svg.startswith("<svg") for svg in drawings.values())
    files = {file["name"]: file for file in post("/code", json=body()).json()["files"]}
    assert "DRAFT" in files["control.st"]["text"]
    assert b64decode(files["control-sheets.pdf"]["base64"]).startswith(b"%PDF")


def test_who_comes_when_too_many_wait_is_told_to_come_back() -> None:
    worker = Inline()

    async def go() -> list[int]:
        held = asyncio.Event()

        async def slow(verb: str, *arguments: Any, **options: Any) -> None:
            await held.wait()

        worker.do = slow  # type: ignore[method-assign]
        transport = httpx.ASGITransport(make(worker))
        async with httpx.AsyncClient(transport=transport, base_url="http://desk.test") as client:
            asked = [asyncio.ensure_future(client.post("/check", json=body())) for _ in range(MOST_WAITING + 2)]
            await asyncio.wait(asked, return_when=asyncio.FIRST_COMPLETED)
            held.set()
            return sorted(answer.status_code for answer in await asyncio.gather(*asked))

    assert run(go()) == [200] * MOST_WAITING + [429, 429]


def test_it_describes_itself() -> None:
    schema = asgi.ask(make(Inline()), "http://desk.test", "GET", "/openapi.json").json()
    assert set(schema["paths"]) == {"/check", "/prove", "/draw", "/code"}
    for path in schema["paths"].values():
        assert path["post"]["description"]
        assert path["post"]["responses"]["200"]["content"]["application/json"]["schema"]
