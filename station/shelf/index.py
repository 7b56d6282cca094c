"""The index in SQLite: its schema, and how it follows the files.

A row is a file, told apart by name, and read again when its size or one of its times has changed; one that
was read within moments of its last change is looked at again, as a clock may stand still for so long. What
changed only its times is known by its SHA-256. The index is worth nothing by itself: whatever is wrong with
it, it is made anew from the files.
"""

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Final

from pydantic import ValidationError

from station import __version__
from station.files import digest
from station.moments import iso
from station.record.signers import AllowedSigners
from station.shelf.entry import ENTRY, Entry
from station.shelf.query import Query
from station.shelf.scan import Found, read_found, scan, unread
from station.shelf.spread import spread

NAME: Final = ".index.sqlite"
APPLICATION: Final = 0x64_73_63_69
FORMAT: Final = 1
BATCH: Final = 64
MANY: Final = 200
"""Files to be read from which on several processes are worth their start."""

_SCHEMA: Final = """
CREATE TABLE about(key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
CREATE TABLE record(
  id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE,
  size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL, ctime_ns INTEGER NOT NULL, settled INTEGER NOT NULL,
  sha256 TEXT NOT NULL, body_sha256 TEXT NOT NULL, status TEXT NOT NULL, problem TEXT NOT NULL,
  drill INTEGER, diver TEXT, diver_name TEXT, place TEXT, day TEXT, started TEXT, finished TEXT,
  depth_fsw REAL, deviations TEXT, entry TEXT NOT NULL) STRICT;
CREATE INDEX by_diver ON record(diver, finished);
CREATE INDEX by_diver_name ON record(diver_name, finished);
CREATE INDEX by_day ON record(day);
CREATE INDEX by_finished ON record(finished);
CREATE INDEX by_sha256 ON record(sha256);
CREATE INDEX by_body ON record(body_sha256);
"""
_COLUMNS: Final = (
    "name, size, mtime_ns, ctime_ns, settled, sha256, body_sha256, status, problem, drill, diver, "
    "diver_name, place, day, started, finished, depth_fsw, deviations, entry"
)
_PUT: Final = (
    f"INSERT OR REPLACE INTO record({_COLUMNS}) VALUES ({', '.join('?' * (_COLUMNS.count(',') + 1))})"  # noqa: S608 - names of our own
)

Progress = Callable[[int, int], None]


class Damaged(Exception):  # noqa: N818 - handled by whoever opened the index, never shown
    """The index is damaged, of another version or foreign; says in words which."""


@dataclass(frozen=True)
class Refreshed:
    """What a refresh came to, in files."""

    read: int
    gone: int
    there: int


def connect(path: Path) -> sqlite3.Connection:
    """Open the index, making it when the file is new; Damaged, or sqlite3.Error when it cannot be used."""
    connection = sqlite3.connect(path, timeout=30, isolation_level=None)
    try:
        connection.execute("PRAGMA synchronous = NORMAL")
        if not _known(connection):
            build(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def build(connection: sqlite3.Connection) -> None:
    """Make the tables in an empty file, unless another process was first."""
    with _writing(connection):
        if not _known(connection):
            for statement in _SCHEMA.split(";"):
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION}")
            connection.execute(f"PRAGMA user_version = {FORMAT}")
            connection.execute("INSERT INTO about VALUES ('program', ?)", (__version__,))


def check(connection: sqlite3.Connection) -> None:
    """Damaged when an index is not one of ours, or SQLite finds it damaged."""
    if not _known(connection) or connection.execute("PRAGMA quick_check").fetchone() != ("ok",):
        raise Damaged("it is damaged")


def _known(connection: sqlite3.Connection) -> bool:
    """Whether it is an index of ours; False when it is empty. Damaged when it is anything else."""
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    if not tables and not application:
        return False
    if application != APPLICATION:
        raise Damaged("it is no index of records")
    program = connection.execute("SELECT value FROM about WHERE key = 'program'").fetchone()
    if version != FORMAT or program != (__version__,):
        raise Damaged("it was made by another version of this program")
    return True


def refresh(
    connection: sqlite3.Connection,
    records: Path,
    listed: AllowedSigners | None,
    *,
    jobs: int = 1,
    progress: Progress | None = None,
) -> Refreshed:
    """Bring the index up to date with the folder; nothing is written when nothing has changed."""
    (last,) = connection.execute("SELECT coalesce(max(id), 0) FROM record").fetchone()
    there = scan(connection, records)
    gone = connection.execute(
        "SELECT name FROM record WHERE id <= ? AND name NOT IN (SELECT name FROM seen)", (last,)
    ).fetchall()
    if gone:
        connection.executemany("DELETE FROM record WHERE name = ?", gone)
    _judge_anew(connection, listed)
    (count,) = connection.execute("SELECT count(*) FROM unread").fetchone()
    found = spread(partial(read_found, records), unread(connection, BATCH), jobs if count >= MANY else 1)
    done = 0
    while batch := list(islice(found, BATCH)):
        put(connection, batch, listed)
        done += len(batch)
        if progress:
            progress(done, count)
    return Refreshed(count, len(gone), there)


def put(connection: sqlite3.Connection, found: Iterable[Found], listed: AllowedSigners | None) -> None:
    """Put what was read in place of what stands under the same names."""
    with _writing(connection):
        if _listed_in(connection) != list_digest(listed):
            # Another process has judged by another list meanwhile: let whoever comes next judge all anew.
            connection.execute("INSERT OR REPLACE INTO about VALUES ('listed', '')")
        for one in found:
            if one.entry is not None:
                connection.execute(_PUT, _row(one, one.entry.judged(listed)))
            else:
                connection.execute(
                    "UPDATE record SET size = ?, mtime_ns = ?, ctime_ns = ?, settled = ? "
                    "WHERE name = ? AND sha256 = ?",
                    (*_stamp(one), one.name, one.sha256),
                )


def find(connection: sqlite3.Connection, query: Query) -> Iterator[Entry]:
    """Yield the entries that a query is met by, the latest dive first, files without a dive at the end."""
    condition, values = query.where()
    return select(connection, f"{condition} ORDER BY started IS NULL, started DESC, name", values)


def select(connection: sqlite3.Connection, rest: str, values: Iterable[object] = ()) -> Iterator[Entry]:
    """Yield the entries of a condition in SQL; Damaged when one cannot be read."""
    rows = connection.execute(f"SELECT entry, status, problem FROM record WHERE {rest}", tuple(values))  # noqa: S608 - conditions of our own, values apart
    for text, status, problem in rows:
        try:
            one = ENTRY.validate_json(text)
        except ValidationError:
            raise Damaged("an entry in it cannot be read") from None
        yield replace(one, status=status, problem=problem)


def list_digest(listed: AllowedSigners | None) -> str:
    """Return what tells one list of signers from another."""
    lines = [] if listed is None else [one.line() for one in listed.lines]
    return "none" if listed is None else digest("\n".join(lines).encode())


def _listed_in(connection: sqlite3.Connection) -> str | None:
    row = connection.execute("SELECT value FROM about WHERE key = 'listed'").fetchone()
    return None if row is None else str(row[0])


def _judge_anew(connection: sqlite3.Connection, listed: AllowedSigners | None) -> None:
    """Hold every record against a list that has changed; no file is read for it."""
    if _listed_in(connection) == list_digest(listed):
        return
    with _writing(connection):
        last = ""
        while batch := list(select(connection, "name > ? ORDER BY name LIMIT ?", (last, BATCH))):
            last = batch[-1].name
            judged = [one.judged(listed) for one in batch]
            connection.executemany(
                "UPDATE record SET status = ?, problem = ? WHERE name = ?",
                [(one.status, one.problem, one.name) for one in judged],
            )
        connection.execute("INSERT OR REPLACE INTO about VALUES ('listed', ?)", (list_digest(listed),))


@contextmanager
def _writing(connection: sqlite3.Connection) -> Iterator[None]:
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _stamp(one: Found) -> tuple[int, int, int, bool]:
    return one.stamp.size, one.stamp.mtime_ns, one.stamp.ctime_ns, one.settled


def _row(found: Found, one: Entry) -> tuple[object, ...]:
    dive = one.dive
    if dive is not None:
        own: tuple[object, ...] = (
            dive.drill,
            dive.diver,
            dive.diver_name.casefold(),
            dive.place.casefold(),
            dive.day.isoformat(),
            iso(dive.started),
            iso(dive.finished),
            dive.depth_fsw,
            "\n".join(dive.deviations).casefold(),
        )
    else:
        own = (one.drill, *(None,) * 8)
    text = ENTRY.dump_json(one).decode()
    return (one.name, *_stamp(found), one.sha256, one.body_sha256, one.status, one.problem, *own, text)
