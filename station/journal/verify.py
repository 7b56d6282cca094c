"""Checking a journal file from end to end; needs no more than to read it."""

import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from station.errors import JournalError, StorageError
from station.events import FileUse, OperationOpened
from station.files import digest
from station.journal.chain import GENESIS
from station.journal.entries import Row, checked
from station.journal.faults import faults
from station.journal.interface import Entry
from station.journal.schema import identify
from station.journal.sentences import EVIDENCE, altered, plain
from station.journal.store import connect

BATCH = 500
"""Entries fetched at a time, so that a seat that writes meanwhile never waits for the check."""

Progress = Callable[[int, int], None]
"""Called with the entries checked so far and how many there are."""


@dataclass(frozen=True)
class Report:
    """What a sound journal holds."""

    entries: int
    head: bytes
    """Hash of the last entry: whoever wrote it down can tell that nothing was cut off since."""
    attachments: int
    unattached: tuple[str, ...]
    """Files that the first entry names and the journal does not keep a copy of."""


def check(path: Path, progress: Progress | None = None) -> Report:
    """Check SQLite's own structure, tables and guards, every entry and attachment, in this order.

    The file is not touched. Where a writer was stopped half way, what it left is put in order in a copy, as
    the next opening would do it.

    Raises:
        JournalError: the first thing that is wrong, with the number of the entry.
        StorageError: the file cannot be read.
    """
    if not _stopped_half_way(path):
        return _check(str(path), path, progress)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / path.name
        try:
            shutil.copyfile(path, copy)
            shutil.copyfile(_rollback(path), _rollback(copy))
        except OSError as error:
            raise StorageError(f"{path}: no copy of it can be made to check: {error.strerror}") from error
        with faults(str(path)), closing(connect(copy, read_only=False)) as connection:
            connection.execute("SELECT 1 FROM sqlite_schema").fetchone()
        return _check(str(path), copy, progress)


def _rollback(path: Path) -> Path:
    """Return the file in which SQLite keeps what a write replaces, until the write is complete."""
    return path.with_name(path.name + "-journal")


def _stopped_half_way(path: Path) -> bool:
    """Return whether a write was begun and its writer is gone, so that a reader alone cannot go on."""
    with closing(connect(path, read_only=True)) as connection:
        try:
            connection.execute("SELECT 1 FROM sqlite_schema").fetchone()
        except (sqlite3.Error, UnicodeDecodeError) as error:
            return getattr(error, "sqlite_errorcode", 0) == sqlite3.SQLITE_READONLY_ROLLBACK
    return False


def _check(source: str, path: Path, progress: Progress | None) -> Report:
    with faults(source), closing(connect(path, read_only=True)) as connection:
        identify(source, connection)
        head = GENESIS
        count = 0
        named: tuple[FileUse, ...] = ()
        for entry in _entries(source, connection, progress):
            count, head = entry.seq, entry.hash
            if entry.seq == 1:
                named = _opening(source, entry).files
        kept = _attachments(source, connection)
        found = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
        if found != "ok":
            raise JournalError(f"{source}: the file is damaged ({plain(found)}); {EVIDENCE}")
    return Report(count, head, len(kept), tuple(one.name for one in named if one.sha256 not in kept))


def _entries(source: str, connection: sqlite3.Connection, progress: Progress | None) -> Iterator[Entry]:
    """Yield every entry up to the last at the time of the call, each with an id of its own."""
    total = connection.execute("SELECT coalesce(max(seq), 0) FROM entry").fetchone()[0]
    seq, previous = 0, GENESIS
    ids: dict[str, int] = {}
    while seq < total:
        for entry in checked(source, _batch(source, connection, seq), seq, previous):
            if entry.event.id in ids:
                first = ids[entry.event.id]
                raise JournalError(f"{source}: entry {entry.seq} is entry {first} once more; {EVIDENCE}")
            ids[entry.event.id] = entry.seq
            seq, previous = entry.seq, entry.hash
            yield entry
        if progress:
            progress(min(seq, total), total)


def _batch(source: str, connection: sqlite3.Connection, after: int) -> list[Row]:
    try:
        rows: list[Row] = connection.execute(
            "SELECT seq, CAST(body AS BLOB), prev, hash FROM entry WHERE seq > ? ORDER BY seq LIMIT ?",
            (after, BATCH),
        ).fetchall()
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF != sqlite3.SQLITE_CORRUPT:
            raise
        raise JournalError(
            f"{source}: the file is damaged somewhere behind entry {after}; {EVIDENCE}"
        ) from error
    if not rows:
        raise JournalError(f"{source}: entry {after + 1} is missing; {EVIDENCE}")
    return rows


def _opening(source: str, entry: Entry) -> OperationOpened:
    if not isinstance(entry.event, OperationOpened):
        raise JournalError(
            f"{source}: entry 1 is {entry.event.kind} and not operation.opened, so the beginning is missing; "
            f"{EVIDENCE}"
        )
    return entry.event


def _attachments(source: str, connection: sqlite3.Connection) -> set[str]:
    """Return the digests of all attachments, each compared with its content."""
    keys = connection.execute("SELECT coalesce(CAST(sha256 AS BLOB), x'') FROM attachment").fetchall()
    kept = set()
    for (key,) in keys:
        sha256 = key.decode("ascii", "replace")
        content = connection.execute(
            "SELECT coalesce(CAST(content AS BLOB), x'') FROM attachment WHERE sha256 = CAST(? AS TEXT)",
            (key,),
        ).fetchone()
        if content is None or digest(content[0]) != sha256:
            raise JournalError(altered(source, sha256))
        kept.add(sha256)
    return kept
