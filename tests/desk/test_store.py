"""The job store: nothing kept is lost or changed, two users meet, a killed process leaves whole revisions."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
import sqlalchemy.exc

from stockproof.desk.store import Draft, Papers, Stale, Store
from stockproof.errors import InputError

FIRST = Papers("a = 1\n", {"catalogue.toml": b"items"})
SECOND = Papers("a = 2\n", {"catalogue.toml": b"items", "w.csv": b"weight_kg\n200\n"})

#: Keeps revisions one after another and says each number once it is kept, until it is killed.
WRITER = """
import sys
from pathlib import Path
from stockproof.desk.store import Papers, Store
store = Store(Path(sys.argv[1]))
number = store.head(1).entry.number
while True:
    papers = Papers(f"revision = {number + 1}\\n" + "x" * 50_000, {"f": str(number + 1).encode() * 9000})
    store.save_draft(1, "a", number, papers)
    number = store.keep(1, number, papers, "t", "a", "w")
    sys.stdout.write(f"{number}\\n")
    sys.stdout.flush()
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "jobs.sqlite"


@pytest.fixture
def store(path: Path) -> Store:
    return Store(path)


def test_a_job_begins_with_its_first_revision(store: Store) -> None:
    job = store.create("Farm", FIRST, "kim", "link", "/a/brief.toml")
    assert store.head(job).papers == FIRST
    assert [(entry.number, entry.who) for entry in store.history(job)] == [(1, "kim")]
    assert store.from_origin("/a/brief.toml") == store.job(job) == store.linked("link")
    assert store.linked("other") is None
    assert store.job(99) is None


def test_revisions_add_up_and_each_comes_back_with_its_files(store: Store) -> None:
    job = store.create("Farm", FIRST, "kim", "link")
    assert store.keep(job, 1, SECOND, "Farm two", "lee", "a") == 2
    assert store.revision(job, 1).papers == FIRST
    assert store.head(job).papers == SECOND
    assert [entry.what for entry in store.history(job)] == ["a", "brought in"]
    assert [each.title for each in store.jobs()] == ["Farm two"]


def test_of_two_users_the_second_to_keep_is_told_and_loses_nothing(store: Store) -> None:
    job = store.create("Farm", FIRST, "kim", "link")
    theirs, mine = Papers("a = 3\n"), Papers("a = 4\n")
    store.save_draft(job, "lee", 1, mine)
    store.keep(job, 1, theirs, "Farm", "kim", "first")
    with pytest.raises(Stale, match=r"^revision 2 was kept while this was worked out from revision 1$"):
        store.keep(job, 1, mine, "Farm", "lee", "second")
    assert store.head(job).papers == theirs
    assert store.draft(job, "lee") == Draft(1, mine)
    assert store.keep(job, 2, mine, "Farm", "lee", "after") == 3


def test_drafts_are_each_users_own_and_go_when_kept(store: Store, path: Path) -> None:
    job = store.create("Farm", FIRST, "kim", "link")
    store.save_draft(job, "kim", 1, SECOND)
    store.save_draft(job, "lee", 1, FIRST)
    again = Store(path)
    assert again.draft(job, "kim") == Draft(1, SECOND)
    again.keep(job, 1, SECOND, "Farm", "kim", "x")
    assert store.draft(job, "kim") is None
    assert store.draft(job, "lee") is not None
    store.drop_draft(job, "lee")
    assert store.draft(job, "lee") is None


@pytest.mark.parametrize("statement", ["update revision set text = 'x'", "delete from revision", "delete from blob"])
def test_the_file_itself_refuses_to_change_what_was_kept(store: Store, path: Path, statement: str) -> None:
    store.create("Farm", FIRST, "kim", "link")
    with sqlite3.connect(path) as db, pytest.raises(sqlite3.IntegrityError, match="is never changed"):
        db.execute(statement)
    db.close()


def test_confirmations_hold_for_one_value_of_one_job(store: Store) -> None:
    job = store.create("Farm", FIRST, "kim", "link")
    store.confirm(job, "a.b", "0.5 1", "Kim")
    store.confirm(job, "a.b", "0.5 1", "Lee")
    assert store.confirmed(job) == {("a.b", "0.5 1"): "Lee"}
    store.withdraw(job, "a.b", "0.5 1")
    assert store.confirmed(job) == {}


def test_a_file_of_another_version_is_left_alone(path: Path) -> None:
    with sqlite3.connect(path) as db:
        db.execute("pragma user_version = 99")
    db.close()
    with pytest.raises(InputError, match="was written by another version"):
        Store(path)


def test_a_link_belongs_to_one_job(store: Store) -> None:
    store.create("Farm", FIRST, "kim", "link")
    with pytest.raises(sqlalchemy.exc.IntegrityError):
        store.create("Farm", FIRST, "kim", "link")


def _killed(path: Path, times: int) -> None:
    """Kill a process that keeps revisions, again and again; whatever it said was kept must be there whole."""
    Store(path).create("Farm", FIRST, "kim", "link")
    said = 1
    for i in range(times):
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True)
        assert writer.stdout is not None
        for _ in range(2 + i % 5):
            said = int(writer.stdout.readline())
        os.kill(writer.pid, signal.SIGKILL)
        rest = writer.stdout.read().split("\n")
        writer.wait()
        writer.stdout.close()
        said = max([said, *(int(line) for line in rest[:-1])])
        store = Store(path)
        head = store.head(1)
        assert head.entry.number in (said, said + 1)
        assert [entry.number for entry in store.history(1)] == list(range(head.entry.number, 0, -1))
        assert head.papers.text.startswith(f"revision = {head.entry.number}\n")
        assert head.papers.files["f"] == str(head.entry.number).encode() * 9000
        store.close()


def test_a_process_killed_while_it_keeps_loses_nothing_it_said_was_kept(path: Path) -> None:
    _killed(path, 3)


@pytest.mark.deep
def test_two_hundred_kills_lose_nothing(path: Path) -> None:
    _killed(path, 200)
