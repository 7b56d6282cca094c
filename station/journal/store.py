"""A journal in one SQLite file, shared by every process on the machine that opens it.

Journal mode is TRUNCATE, whatever the SQLite. Write-ahead logging would be faster, but SQLite up to 3.51.2
can damage such a file when two processes write and tidy up at once (sqlite.org/wal.html, "The WAL-reset
bug"), spreads it over three files, and cannot open it in a folder that is read-only. An append of half a
millisecond is ample for a dive. synchronous=FULL waits for the disk before and after the commit.

The file must not be opened by any other way within this process: closing any handle on it lets go of
SQLite's locks (sqlite.org/howtocorrupt.html, section 2.2).
"""

import os
import sqlite3
import threading
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Self

from station.errors import HeadMoved, JournalError, StorageError
from station.events import Event
from station.files import digest
from station.journal.chain import GENESIS
from station.journal.entries import checked, sealed
from station.journal.faults import TIMEOUT_S, faults
from station.journal.interface import Entry
from station.journal.schema import FORMAT, build, identify
from station.journal.sentences import EVIDENCE, altered, gone, moved, unattached

SUFFIX = ".journal"
OLDEST_SQLITE = (3, 37, 0)
"""The first with STRICT tables."""
SMALLEST_PAGE = 512
"""Bytes; no SQLite file is shorter than a page, but SQLite takes a shorter one for a new file."""


class SqliteJournal:
    """See Journal; made by `create` or `open`."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._source = str(path)
        self._connection = connection
        self._lock = threading.Lock()
        self._data_version: int | None = None

    @classmethod
    def create(cls, path: Path) -> Self:
        """Make a new journal; its name ends in .journal.

        Raises:
            JournalError: the name ends otherwise or is taken.
            StorageError: the folder is missing, full or cannot be written. No file is left behind.
        """
        if path.suffix != SUFFIX:
            raise JournalError(f"{path}: the name of a journal ends in {SUFFIX}")
        try:
            _make(path)
        except FileExistsError:
            raise JournalError(f"{path}: there already; choose another name or open it") from None
        except OSError as error:
            raise StorageError(f"{path}: cannot be made: {error.strerror}; choose another folder") from error
        return cls.open(path)

    @classmethod
    def open(cls, path: Path, *, read_only: bool = False) -> Self:
        """Open a journal; for writing only where it can be written, which is tried.

        Raises:
            JournalError: missing, foreign, newer or damaged.
            StorageError: it cannot be opened, or not be written.
        """
        connection = connect(path, read_only=read_only)
        try:
            with faults(str(path)):
                identify(str(path), connection)
                if not read_only:
                    _prepare(path, connection)
        except BaseException:
            connection.close()
            raise
        return cls(path, connection)

    def append(self, event: Event, expected_head: int) -> Entry:
        """See Journal."""
        with self._writing():
            seq, last = self._head()
            if seq != expected_head:
                self._data_version = None
                raise HeadMoved(moved(self._source, expected_head, seq))
            entry = sealed(self._source, seq + 1, event, last)
            self._connection.execute(
                "INSERT INTO entry(seq, body, prev, hash) VALUES (?, ?, ?, ?)",
                (entry.seq, entry.body, last, entry.hash),
            )
        return entry

    def read(self, after: int = 0) -> list[Entry]:
        """See Journal."""
        try:
            return self._read(after)
        except BaseException:
            self._data_version = None
            raise

    def head(self) -> tuple[int, bytes]:
        """See Journal."""
        with self._lock, faults(self._source):
            return self._head()

    def changed(self) -> bool:
        """See Journal."""
        with self._lock, faults(self._source):
            version: int = self._connection.execute("PRAGMA data_version").fetchone()[0]
        fresh, self._data_version = version != self._data_version, version
        return fresh

    def attach(self, name: str, data: bytes) -> str:
        """See Journal."""
        sha256 = digest(data)
        with self._lock, faults(self._source):
            known = self._content(sha256) is not None
        if not known:
            with self._writing():
                if self._content(sha256) is None:
                    self._connection.execute(
                        "INSERT INTO attachment(sha256, name, content) VALUES (?, ?, ?)", (sha256, name, data)
                    )
        return sha256

    def attachment(self, sha256: str) -> bytes:
        """See Journal."""
        with self._lock, faults(self._source):
            content = self._content(sha256)
        if content is None:
            raise JournalError(unattached(self._source, sha256))
        if digest(content) != sha256:
            raise JournalError(altered(self._source, sha256))
        return content

    def close(self) -> None:
        """See Journal."""
        with self._lock:
            self._connection.close()

    def _read(self, after: int) -> list[Entry]:
        with self._lock, faults(self._source):
            # Fetched at once: a reader that lingers would keep others from writing.
            rows = self._connection.execute(
                "SELECT seq, CAST(body AS BLOB), prev, hash FROM entry WHERE seq >= ? ORDER BY seq", (after,)
            ).fetchall()
        previous = GENESIS
        if after:
            if not rows or rows[0][0] != after:
                raise JournalError(gone(self._source, after))
            previous = rows.pop(0)[3]
        return list(checked(self._source, rows, after, previous))

    def _head(self) -> tuple[int, bytes]:
        row = self._connection.execute("SELECT seq, hash FROM entry ORDER BY seq DESC LIMIT 1").fetchone()
        if row is None:
            return 0, GENESIS
        seq, last = row
        if not isinstance(last, bytes) or len(last) != len(GENESIS):
            raise JournalError(f"{self._source}: entry {seq} was changed after it was written; {EVIDENCE}")
        return seq, last

    def _content(self, sha256: str) -> bytes | None:
        row = self._connection.execute(
            "SELECT CAST(content AS BLOB) FROM attachment WHERE sha256 = ?", (sha256,)
        ).fetchone()
        return row[0] if row else None

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """Hold the file for writing; commit at the end of the block, or leave everything as it was."""
        with self._lock, faults(self._source):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise


def connect(path: Path, *, read_only: bool) -> sqlite3.Connection:
    """Return a connection to an existing file, which may still be any SQLite file, or none.

    Raises:
        JournalError: there is no such file, or it is empty.
        StorageError: it cannot be opened, or the SQLite of this machine is too old.
    """
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise StorageError(
            f"{path}: a journal needs SQLite {'.'.join(map(str, OLDEST_SQLITE))} or newer, this Python has "
            f"{sqlite3.sqlite_version}; use a newer Python"
        )
    try:
        size = path.stat().st_size
    except FileNotFoundError:
        raise JournalError(f"{path}: no such file; name a journal, or open a new operation") from None
    except OSError as error:
        raise StorageError(f"{path}: cannot be opened: {error.strerror}") from error
    if path.is_dir():
        raise JournalError(f"{path}: a folder, not a journal; name a journal")
    if size == 0:
        raise JournalError(f"{path}: empty, it holds no entry; delete it and open a new operation")
    if size < SMALLEST_PAGE:
        raise JournalError(f"{path}: not a journal: too short for an SQLite file; name a journal")
    with faults(str(path)):
        return _connection(path, "ro" if read_only else "rw")


def _connection(path: Path, mode: str) -> sqlite3.Connection:
    # Any thread may use it: SqliteJournal lets one in at a time.
    return sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=TIMEOUT_S,
        isolation_level=None,
        check_same_thread=False,
    )


def _durable(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA fullfsync = ON")  # macOS: its plain fsync stops at the drive's own memory


def _prepare(path: Path, connection: sqlite3.Connection) -> None:
    """Set the journal mode and try to write: opening alone succeeds on a read-only disk."""
    _durable(connection)
    mode = connection.execute("PRAGMA journal_mode = TRUNCATE").fetchone()[0]
    if mode != "truncate":
        raise StorageError(
            f"{path}: another program keeps the file open in the mode '{mode}'; close it and try again"
        )
    connection.execute("BEGIN IMMEDIATE")
    try:
        connection.execute(f"PRAGMA user_version = {FORMAT}")  # the same again: makes SQLite start to write
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


def _make(path: Path) -> None:
    """Build the file under another name, so that no journal is ever seen half made."""
    draft = path.with_name(f".{path.name}.{uuid.uuid4().hex}")
    try:
        draft.touch(exist_ok=False)
        with faults(str(path)), closing(_connection(draft, "rw")) as connection:
            _durable(connection)
            build(connection)
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)
        draft.with_name(draft.name + "-journal").unlink(missing_ok=True)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
