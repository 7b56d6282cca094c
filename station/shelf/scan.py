"""What stands in the folder, and what of it must be read: listed in tables of one connection alone."""

import os
import sqlite3
import stat
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Self

from station.errors import FileError, StorageError
from station.files import digest
from station.shelf.entry import Entry, entry_of, unreadable

SUFFIX: Final = ".toml"
SETTLES_NS: Final = 2_000_000_000
"""The coarsest clock of a file system in use, that of FAT."""


@dataclass(frozen=True)
class Stamp:
    """What tells without reading that a file is as it was: size, and when its bytes and its inode changed."""

    size: int = -1
    mtime_ns: int = -1
    ctime_ns: int = -1

    @classmethod
    def of(cls, found: os.stat_result) -> Self:
        """Return the stamp of a file."""
        return cls(found.st_size, found.st_mtime_ns, found.st_ctime_ns)


@dataclass(frozen=True)
class Found:
    """A file as it was read; `entry` is None when its bytes are those known under its name already.

    `settled`: long enough after its last change for the stamp to tell the next one.
    """

    name: str
    stamp: Stamp
    settled: bool
    sha256: str
    entry: Entry | None


def names(folder: Path) -> Iterator[tuple[str, Stamp]]:
    """Yield the files of a folder that may be records; StorageError when it cannot be read.

    Hidden files are none, nor is anything that is not a plain file; one out of reach is, with an empty stamp.
    """
    try:
        with os.scandir(folder) as found:
            for one in found:
                if one.name.endswith(SUFFIX) and not one.name.startswith("."):
                    yield from _plain(one)
    except OSError as error:
        raise StorageError(f"{folder}: cannot be read as a folder of records: {error.strerror}") from None


def _plain(one: os.DirEntry[str]) -> Iterator[tuple[str, Stamp]]:
    try:
        found = one.stat()
    except OSError:
        yield one.name, Stamp()
    else:
        if stat.S_ISREG(found.st_mode):
            yield one.name, Stamp.of(found)


def scan(connection: sqlite3.Connection, records: Path) -> int:
    """List the files there are, and those that must be read; return how many there are."""
    for statement in (
        "DROP TABLE IF EXISTS temp.seen",
        "DROP TABLE IF EXISTS temp.unread",
        "CREATE TEMP TABLE seen(name TEXT PRIMARY KEY, size INTEGER, mtime_ns INTEGER, ctime_ns INTEGER)",
        "CREATE TEMP TABLE unread(id INTEGER PRIMARY KEY, name TEXT, sha256 TEXT)",
        "BEGIN",
    ):
        connection.execute(statement)
    try:
        rows = ((name, one.size, one.mtime_ns, one.ctime_ns) for name, one in names(records))
        connection.executemany("INSERT INTO seen VALUES (?, ?, ?, ?)", rows)
        connection.execute(
            "INSERT INTO unread(name, sha256) SELECT seen.name, coalesce(old.sha256, '') FROM seen "
            "LEFT JOIN record AS old ON old.name = seen.name WHERE old.id IS NULL OR NOT old.settled "
            "OR (old.size, old.mtime_ns, old.ctime_ns) <> (seen.size, seen.mtime_ns, seen.ctime_ns) "
            "ORDER BY seen.name"
        )
    finally:
        connection.execute("COMMIT")
    (there,) = connection.execute("SELECT count(*) FROM seen").fetchone()
    return int(there)


def unread(connection: sqlite3.Connection, batch: int) -> Iterator[tuple[str, str]]:
    """Yield the files that must be read, with the SHA-256 known under the name, "" for none."""
    last = 0
    while rows := connection.execute(
        "SELECT id, name, sha256 FROM unread WHERE id > ? ORDER BY id LIMIT ?", (last, batch)
    ).fetchall():
        last = rows[-1][0]
        yield from ((name, sha256) for _, name, sha256 in rows)


def read_found(records: Path, thing: tuple[str, str]) -> Found:
    """Read a file, unless its bytes are those of the SHA-256 given with its name."""
    name, known = thing
    try:
        with (records / name).open("rb") as file:
            stamp = Stamp.of(os.fstat(file.fileno()))
            settled = time.time_ns() - max(stamp.mtime_ns, stamp.ctime_ns) > SETTLES_NS
            data = file.read()
    except OSError as error:
        why = FileError(name, [("", error.strerror or "no file")])
        return Found(name, Stamp(), settled=False, sha256="", entry=unreadable(name, why))
    sha256 = digest(data)
    return Found(name, stamp, settled, sha256, None if sha256 == known else entry_of(name, data))
