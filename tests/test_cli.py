"""The commands as a person runs them: exit status, words, no traceback, same bytes."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
import tomllib
from pathlib import Path

import jsonschema
import pytest

STOCKPROOF = [sys.executable, "-c", "from stockproof.cli import main; main()"]
HILL = Path("examples/hill/brief.toml")


def run(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    return subprocess.run(
        [*STOCKPROOF, *map(str, arguments)],
        capture_output=True,
        text=True,
        env={**os.environ, **environment},
        timeout=120,
        check=False,
    )


def test_check_praises_a_brief_and_a_catalogue() -> None:
    for file, words in ((HILL, "4 programmes"), (Path("examples/firm/catalogue.toml"), "items of 18 kinds")):
        done = run("check", file)
        assert (done.returncode, done.stderr) == (0, "")
        assert words in done.stdout


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("format = 1\n", "mob: is missing"),
        ("a = = 1", "is not valid TOML"),
        (None, "cannot be read"),
    ],
)
def test_bad_input_ends_with_status_2_and_no_traceback(tmp_path: Path, text: str | None, words: str) -> None:
    file = tmp_path / "brief.toml"
    if text is not None:
        file.write_text(text)
    for command in ("check", "prove"):
        done = run(command, file)
        assert done.returncode == 2
        assert words in done.stderr
        assert "Traceback" not in done.stderr + done.stdout


def test_new_starts_a_brief_once_and_never_overwrites(tmp_path: Path) -> None:
    assert run("new", tmp_path / "job").returncode == 0
    assert run("check", tmp_path / "job" / "brief.toml").returncode == 0
    (tmp_path / "job" / "brief.toml").write_text("mine")
    again = run("new", tmp_path / "job")
    assert again.returncode == 2
    assert "is there already" in again.stderr
    assert (tmp_path / "job" / "brief.toml").read_text() == "mine"


def test_the_schemas_accept_the_examples_and_refuse_mistakes(tmp_path: Path) -> None:
    assert run("schema", "--out", tmp_path).returncode == 0
    schemas = {name: json.loads((tmp_path / f"{name}.schema.json").read_text()) for name in ("brief", "catalogue")}
    for path in sorted(Path("examples").glob("*/*.toml")):
        values = json.loads(json.dumps(tomllib.loads(path.read_text()), default=str))
        jsonschema.validate(values, schemas[path.stem])
    values = json.loads(json.dumps(tomllib.loads(HILL.read_text()), default=str))
    for path_to, wrong in (
        (("site", "altitude"), "12 kg"),
        (("market", "mass"), "stone"),
        (("site", "altitud"), "1 m"),
    ):
        bad = json.loads(json.dumps(values))
        bad[path_to[0]][path_to[1]] = wrong
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(bad, schemas["brief"])


def test_json_goes_to_standard_output_and_every_measure_names_a_figure() -> None:
    done = run("prove", HILL, "--quick", "--json")
    assert done.returncode == 1
    proof = json.loads(done.stdout)
    names = {figure["name"] for figure in proof["figures"]}
    for verdict in proof["verdicts"]:
        assert verdict["state"] in ("met", "not met", "not shown")
        assert verdict["because"] or verdict["measures"]
        assert set(verdict["figures"]) <= names
    for figure in proof["figures"]:
        assert set(figure["inputs"]) <= names


def hashes(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_same_brief_same_bytes_for_any_workers_time_zone_and_hash_seed(tmp_path: Path) -> None:
    first = run("prove", HILL, "--quick", "--out", tmp_path / "a", "--workers", "1", TZ="UTC", PYTHONHASHSEED="1")
    second = run(
        "prove", HILL, "--quick", "--out", tmp_path / "b", "--workers", "2", TZ="Pacific/Auckland", PYTHONHASHSEED="2"
    )
    assert first.returncode == second.returncode == 1, first.stderr + second.stderr
    assert hashes(tmp_path / "a") == hashes(tmp_path / "b")
    assert len(hashes(tmp_path / "a")) > 5


def test_an_output_folder_with_foreign_files_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    done = run("prove", HILL, "--quick", "--out", tmp_path)
    assert done.returncode == 2
    assert "holds files this program did not write" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('motion = "bail.close"', 'motion = "bail.shut"', "is no motion of this build"),
        ("[build.items]", "[build.items]\nno_such_item = 1", "is no item of the catalogue"),
        ("exchange", "# exchange", "exchange belongs to a market"),
    ],
)
def test_check_says_what_proving_would_refuse(tmp_path: Path, old: str, new: str, why: str) -> None:
    examples = Path(__file__).parents[1] / "examples"
    name = "feedlot" if old == "exchange" else "hill"
    text = (examples / name / "brief.toml").read_text()
    assert old in text
    brief = tmp_path / "brief.toml"
    brief.write_text(text.replace(old, new, 1).replace('"../firm/', f'"{examples}/firm/'))
    for table in (examples / name).glob("*.csv"):
        (tmp_path / table.name).write_bytes(table.read_bytes())
    done = run("check", brief)
    assert done.returncode == 2
    assert why in done.stderr
