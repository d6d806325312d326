"""A folder of results is written whole or not at all, and what is not ours is left alone."""

import hashlib
import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from stockproof.dossier.files import write_files, write_folder
from stockproof.errors import InternalError, OutputError

FIRST = {"proposal.pdf": b"one", "tables/price.csv": b"a,b\n"}


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_folder_is_written_with_its_list_of_hashes(tmp_path: Path) -> None:
    paths = write_folder(tmp_path / "deep" / "out", FIRST)
    written = tree(tmp_path / "deep" / "out")
    assert {path.name for path in paths} == {"proposal.pdf", "price.csv", "contents.json"}
    listed = json.loads(written.pop("contents.json"))["files"]
    assert written == FIRST
    assert listed == {name: hashlib.sha256(data).hexdigest() for name, data in FIRST.items()}


def test_a_second_run_leaves_nothing_of_the_first(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_folder(out, FIRST)
    write_folder(out, {"proposal.pdf": b"two"})
    assert set(tree(out)) == {"proposal.pdf", "contents.json"}
    assert os.listdir(tmp_path) == ["out"]


def test_a_folder_with_other_files_is_refused_and_untouched(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_folder(out, FIRST)
    (out / "tables" / "my notes.txt").write_text("mine")
    before = tree(out)
    with pytest.raises(OutputError, match=r"holds files this program did not write \(tables/my notes.txt\)"):
        write_folder(out, {"proposal.pdf": b"two"})
    assert tree(out) == before


def test_an_empty_folder_is_taken_and_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    write_folder(tmp_path / "empty", FIRST)
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError, match="is no folder"):
        write_folder(tmp_path / "file", FIRST)


def test_a_folder_reached_by_a_link_is_refused(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    with pytest.raises(OutputError, match="is no folder"):
        write_folder(tmp_path / "link", FIRST)


@pytest.mark.parametrize("stop", [KeyboardInterrupt, OSError(28, "No space left on device")])
def test_a_stop_while_writing_leaves_the_old_folder_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stop: Any
) -> None:
    out = tmp_path / "out"
    write_folder(out, FIRST)
    before = tree(out)
    calls = []

    def failing(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) == 2:
            raise stop

    monkeypatch.setattr("os.fsync", failing)
    with pytest.raises((KeyboardInterrupt, OutputError)):
        write_folder(out, {"a": b"1", "b": b"2"})
    assert tree(out) == before
    assert os.listdir(tmp_path) == ["out"]


@pytest.mark.parametrize("stop", [KeyboardInterrupt, OSError(13, "Permission denied")])
def test_a_stop_between_the_two_renames_puts_the_old_folder_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stop: Any
) -> None:
    out = tmp_path / "out"
    write_folder(out, FIRST)
    before, rename, calls = tree(out), os.rename, []

    def failing(source: Path, target: Path) -> None:
        calls.append(source)
        if len(calls) == 2:
            raise stop
        rename(source, target)

    monkeypatch.setattr("os.rename", failing)
    with pytest.raises((KeyboardInterrupt, OutputError)):
        write_folder(out, {"a": b"1"})
    assert tree(out) == before
    assert os.listdir(tmp_path) == ["out"]


def test_a_place_that_cannot_be_written_is_said_plainly(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError, match=r"cannot be written \(Not a directory\)|cannot be written \(File exists\)"):
        write_folder(tmp_path / "file" / "out", FIRST)


@pytest.mark.parametrize("name", ["../up.txt", "/etc/x", "", "a\\b", "a\0"])
def test_a_name_that_leaves_the_folder_is_our_own_mistake(tmp_path: Path, name: str) -> None:
    with pytest.raises(InternalError):
        write_folder(tmp_path / "out", {name: b""})
    assert not (tmp_path / "out").exists()


def test_single_files_join_what_is_there(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    write_files(tmp_path, {"brief.schema.json": b"{}"})
    write_files(tmp_path, {"brief.schema.json": b"{ }"})
    assert tree(tmp_path) == {"mine.txt": b"mine", "brief.schema.json": b"{ }"}


def test_file_modes_follow_the_user_s_mask(tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.mkdir()
    write_folder(tmp_path / "out", FIRST)
    assert (tmp_path / "out").stat().st_mode == plain.stat().st_mode
    shutil.rmtree(plain)
