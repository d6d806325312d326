"""The jobs on this desk: every revision of each brief, kept for good, and the unsaved draft of each user.

SQLite in write-ahead mode, one transaction a change: what `keep` or `save_draft` returned from survives a killed
process. Revisions are only ever added; the database itself refuses to change or remove one.
"""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from stockproof.errors import Fault, InputError, StockproofError

__all__ = ["CATALOGUE", "Draft", "Entry", "Job", "Papers", "Revision", "Stale", "Store"]

#: Name under which a job's catalogue lies among its files.
CATALOGUE = "catalogue.toml"
#: Version of the tables; a file of another version is refused and left as it is.
FORM = 1

_META = sa.MetaData()
_JOB = sa.Table(
    "job",
    _META,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("title", sa.String, nullable=False),
    sa.Column("origin", sa.String, nullable=False),
    sa.Column("head", sa.Integer, nullable=False),
    sa.Column("link", sa.String, nullable=False, unique=True),
)
_REVISION = sa.Table(
    "revision",
    _META,
    sa.Column("job", sa.ForeignKey("job.id"), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True),
    sa.Column("text", sa.String, nullable=False),
    sa.Column("files", sa.String, nullable=False),
    sa.Column("who", sa.String, nullable=False),
    sa.Column("what", sa.String, nullable=False),
    sa.Column("at", sa.String, nullable=False),
)
_DRAFT = sa.Table(
    "draft",
    _META,
    sa.Column("job", sa.ForeignKey("job.id"), primary_key=True),
    sa.Column("who", sa.String, primary_key=True),
    sa.Column("base", sa.Integer, nullable=False),
    sa.Column("text", sa.String, nullable=False),
    sa.Column("files", sa.String, nullable=False),
)
_CONFIRMED = sa.Table(
    "confirmed",
    _META,
    sa.Column("job", sa.ForeignKey("job.id"), primary_key=True),
    sa.Column("figure", sa.String, primary_key=True),
    sa.Column("value", sa.String, primary_key=True),
    sa.Column("who", sa.String, nullable=False),
    sa.Column("at", sa.String, nullable=False),
)
_BLOB = sa.Table(
    "blob",
    _META,
    sa.Column("sha", sa.String, primary_key=True),
    sa.Column("data", sa.LargeBinary, nullable=False),
)
_FOREVER = [
    f"create trigger if not exists {table}_{verb} before {verb} on {table} "
    f"begin select raise(abort, 'a {table} is never changed'); end"
    for table in ("revision", "blob")
    for verb in ("update", "delete")
]


class Stale(StockproofError):
    """Somebody kept a revision after the one this work began from."""

    def __init__(self, base: int, head: int) -> None:
        self.base, self.head = base, head
        super().__init__(f"revision {head} was kept while this was worked out from revision {base}")


@dataclass(frozen=True, slots=True)
class Papers:
    """A brief's text with the files that lie beside it: its weights and its catalogue."""

    text: str
    files: Mapping[str, bytes] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of a job's history."""

    number: int
    who: str
    what: str
    at: str


@dataclass(frozen=True, slots=True)
class Revision:
    """A kept revision whole."""

    entry: Entry
    papers: Papers


@dataclass(frozen=True, slots=True)
class Draft:
    """What a user has written since revision `base` and not kept."""

    base: int
    papers: Papers


@dataclass(frozen=True, slots=True)
class Job:
    """A job in the list: its latest revision, where it came from, and the secret of its read-only link."""

    id: int
    title: str
    origin: str
    head: int
    link: str


class Store:
    """The desk's own file of jobs."""

    def __init__(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        self._engine = _engine(path)
        with self._writing() as db:
            form = db.exec_driver_sql("pragma user_version").scalar_one()
            if form not in (0, FORM):
                raise InputError(Fault(f"{path} was written by another version (form {form}, not {FORM})"))
            _META.create_all(db)
            for trigger in _FOREVER:
                db.exec_driver_sql(trigger)
            db.exec_driver_sql(f"pragma user_version = {FORM}")

    def close(self) -> None:
        self._engine.dispose()

    def jobs(self) -> tuple[Job, ...]:
        """Give every job, the newest first."""
        with self._reading() as db:
            rows = db.execute(sa.select(_JOB).order_by(_JOB.c.id.desc())).all()
        return tuple(Job(*row) for row in rows)

    def job(self, job: int) -> Job | None:
        """Give a job, or None where there is none of that number."""
        with self._reading() as db:
            row = db.execute(sa.select(_JOB).where(_JOB.c.id == job)).first()
        return Job(*row) if row else None

    def linked(self, link: str) -> Job | None:
        """Give the job of a read-only link."""
        with self._reading() as db:
            row = db.execute(sa.select(_JOB).where(_JOB.c.link == link)).first()
        return Job(*row) if row else None

    def from_origin(self, origin: str) -> Job | None:
        """Give the newest job that was brought in from a file."""
        return next((job for job in self.jobs() if job.origin == origin), None)

    def create(
        self, title: str, papers: Papers, who: str, link: str, origin: str = "", what: str = "brought in"
    ) -> int:
        """Begin a job with its first revision and give its number."""
        with self._writing() as db:
            result = db.execute(sa.insert(_JOB).values(title=title, origin=origin, head=1, link=link))
            number = int(result.lastrowid)
            _put_revision(db, number, 1, papers, who, what)
        return number

    def head(self, job: int) -> Revision:
        """Give the latest revision."""
        with self._reading() as db:
            number = db.execute(sa.select(_JOB.c.head).where(_JOB.c.id == job)).scalar_one()
            return _revision(db, job, number)

    def revision(self, job: int, number: int) -> Revision:
        """Give one revision."""
        with self._reading() as db:
            return _revision(db, job, number)

    def history(self, job: int) -> tuple[Entry, ...]:
        """Give the job's revisions, the latest first."""
        columns = (_REVISION.c.number, _REVISION.c.who, _REVISION.c.what, _REVISION.c.at)
        query = sa.select(*columns).where(_REVISION.c.job == job).order_by(_REVISION.c.number.desc())
        with self._reading() as db:
            return tuple(Entry(*row) for row in db.execute(query))

    def keep(self, job: int, base: int, papers: Papers, title: str, who: str, what: str) -> int:
        """Add a revision that was worked out from revision `base`, drop the user's draft, and give its number.

        Raises
        ------
        Stale
            Somebody else kept a revision meanwhile; nothing was changed.
        """
        with self._writing() as db:
            moved = db.execute(
                sa.update(_JOB).where(_JOB.c.id == job, _JOB.c.head == base).values(head=base + 1, title=title)
            )
            if moved.rowcount == 0:
                raise Stale(base, db.execute(sa.select(_JOB.c.head).where(_JOB.c.id == job)).scalar_one())
            _put_revision(db, job, base + 1, papers, who, what)
            db.execute(sa.delete(_DRAFT).where(_DRAFT.c.job == job, _DRAFT.c.who == who))
        return base + 1

    def draft(self, job: int, who: str) -> Draft | None:
        """Give what a user wrote and did not keep."""
        with self._reading() as db:
            row = db.execute(sa.select(_DRAFT).where(_DRAFT.c.job == job, _DRAFT.c.who == who)).first()
            return Draft(row.base, Papers(row.text, _files(db, row.files))) if row else None

    def save_draft(self, job: int, who: str, base: int, papers: Papers) -> None:
        """Save what a user is writing."""
        with self._writing() as db:
            values = {"job": job, "who": who, "base": base, "text": papers.text, "files": _put_files(db, papers)}
            db.execute(sa.insert(_DRAFT).prefix_with("or replace").values(**values))

    def drop_draft(self, job: int, who: str) -> None:
        """Throw a user's draft away."""
        with self._writing() as db:
            db.execute(sa.delete(_DRAFT).where(_DRAFT.c.job == job, _DRAFT.c.who == who))

    def confirmed(self, job: int) -> dict[tuple[str, str], str]:
        """Give who confirmed each assumption: by figure and value as it was read."""
        query = sa.select(_CONFIRMED.c.figure, _CONFIRMED.c.value, _CONFIRMED.c.who).where(_CONFIRMED.c.job == job)
        with self._reading() as db:
            return {(row.figure, row.value): row.who for row in db.execute(query)}

    def confirm(self, job: int, figure: str, value: str, who: str) -> None:
        """Note that somebody, by name, stands for the value of an assumption."""
        with self._writing() as db:
            values = {"job": job, "figure": figure, "value": value, "who": who, "at": _now()}
            db.execute(sa.insert(_CONFIRMED).prefix_with("or replace").values(**values))

    def withdraw(self, job: int, figure: str, value: str) -> None:
        """Take a confirmation back."""
        with self._writing() as db:
            columns = _CONFIRMED.c
            db.execute(
                sa.delete(_CONFIRMED).where(columns.job == job, columns.figure == figure, columns.value == value)
            )

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with self._engine.connect() as db:
            yield db

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with self._engine.begin() as db:
            yield db


def _engine(path: Path) -> Engine:
    engine = sa.create_engine(f"sqlite:///{path}", connect_args={"timeout": 10})

    @sa.event.listens_for(engine, "connect")
    def connect(connection: Any, _: Any) -> None:
        connection.isolation_level = None  # transactions are begun below, and nowhere else
        for pragma in ("journal_mode = wal", "synchronous = full", "foreign_keys = on"):
            connection.execute(f"pragma {pragma}")

    @sa.event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("begin immediate")  # two writers queue here instead of failing half-way

    return engine


def _put_revision(db: Connection, job: int, number: int, papers: Papers, who: str, what: str) -> None:
    values = {"job": job, "number": number, "text": papers.text, "files": _put_files(db, papers)}
    db.execute(sa.insert(_REVISION).values(**values, who=who, what=what, at=_now()))


def _put_files(db: Connection, papers: Papers) -> str:
    """Set files down once by their hash, and give the list of names and hashes."""
    hashes = {name: hashlib.sha256(data).hexdigest() for name, data in papers.files.items()}
    for name, sha in hashes.items():
        db.execute(sa.insert(_BLOB).prefix_with("or ignore").values(sha=sha, data=papers.files[name]))
    return json.dumps(hashes, sort_keys=True)


def _files(db: Connection, listed: str) -> dict[str, bytes]:
    hashes: dict[str, str] = json.loads(listed)
    rows = db.execute(sa.select(_BLOB).where(_BLOB.c.sha.in_(hashes.values())))
    data = {row.sha: row.data for row in rows}
    return {name: data[sha] for name, sha in hashes.items()}


def _revision(db: Connection, job: int, number: int) -> Revision:
    query = sa.select(_REVISION).where(_REVISION.c.job == job, _REVISION.c.number == number)
    row = db.execute(query).one()
    return Revision(Entry(row.number, row.who, row.what, row.at), Papers(row.text, _files(db, row.files)))


def _now() -> str:
    """The moment of a change, for the history that people read; results never see it."""
    return datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
