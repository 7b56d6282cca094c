"""The one door to the shelf: a folder of records with its index, up to date when it opens."""

import contextlib
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Final, Self, TypeVar

from station.errors import StorageError
from station.record.signers import AllowedSigners
from station.shelf import index
from station.shelf.entry import Entry
from station.shelf.index import NAME, Damaged, Progress, Refreshed
from station.shelf.query import Query
from station.shelf.scan import Found

A = TypeVar("A")
Tell = Callable[[str], None]
_OURS: Final = "an index of this program and version"
_OUT_OF_REACH: Final = {
    sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_LOCKED,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_READONLY,
}
"""The place fails, not the index. Whatever else SQLite says: the index is damaged."""


class Shelf:
    """A folder of records and its index; made by `open`.

    Every question is answered in full before anything else happens. An index that turns out to be damaged is
    thrown away and made anew, one that cannot be written is kept in memory; either is told in one line.
    """

    def __init__(
        self, records: Path, listed: AllowedSigners | None, tell: Tell, jobs: int, progress: Progress | None
    ) -> None:
        self.records = records
        self.listed = listed
        self.refreshed = Refreshed(0, 0, 0)
        self._tell = tell
        self._jobs = jobs
        self._progress = progress
        self._connection: sqlite3.Connection | None = None
        self._in_memory = False

    @classmethod
    @contextmanager
    def open(  # noqa: PLR0913 - each by its name
        cls,
        records: Path,
        listed: AllowedSigners | None = None,
        *,
        tell: Tell,
        jobs: int = 1,
        progress: Progress | None = None,
        afresh: bool = False,
        in_memory: bool = False,
    ) -> Iterator[Self]:
        """Open the shelf, its index brought up to date.

        `listed` judges the records. `afresh`: throw the index away first. `in_memory`: leave the index on the
        disk as it is.

        Raises:
            StorageError: the folder cannot be read.

        """
        shelf = cls(records, listed, tell, jobs, progress)
        try:
            if afresh and not in_memory:
                shelf._throw_away()
            if in_memory:
                shelf._to_memory()
            shelf.refresh()
            yield shelf
        finally:
            shelf._close()

    def refresh(self) -> Refreshed:
        """Bring the index up to date with the files."""
        self.refreshed = self._answer(self._refresh)
        return self.refreshed

    def find(self, query: Query) -> list[Entry]:
        """Return the entries that a query is met by, the latest dive first."""
        return self._answer(lambda connection: list(index.find(connection, query)))

    def select(self, condition: str, *values: object) -> list[Entry]:
        """Return the entries of a condition on the columns of the index."""
        return self._answer(lambda connection: list(index.select(connection, condition, values)))

    def each(self, batch: int = 64) -> Iterator[Entry]:
        """Yield every entry in the order of names, a few in hand at a time."""
        last = ""
        while entries := self.select("name > ? ORDER BY name LIMIT ?", last, batch):
            last = entries[-1].name
            yield from entries

    def put(self, found: Found) -> None:
        """Put what was read of one file in its place."""
        self._answer(lambda connection: index.put(connection, [found], self.listed))

    def _answer(self, question: Callable[[sqlite3.Connection], A]) -> A:
        try:
            return question(self._open())
        except Damaged as damage:
            self._anew(str(damage))
        except UnicodeDecodeError:  # SQLite names a thing of the file that is no text
            self._anew("malformed")
        except sqlite3.DatabaseError as error:
            if _code(error) in _OUT_OF_REACH and not self._in_memory:
                self._tell(f"{self._path}: the index cannot be written ({error}); kept in memory this time")
                self._to_memory()
            else:
                self._anew(str(error))
        return question(self._open())

    def _open(self) -> sqlite3.Connection:
        if self._connection is None:
            self._connection = index.connect(self._path)
        return self._connection

    def _refresh(self, connection: sqlite3.Connection) -> Refreshed:
        return index.refresh(connection, self.records, self.listed, jobs=self._jobs, progress=self._progress)

    def _anew(self, why: str) -> None:
        self._tell(f"{self._path}: not {_OURS} ({why}); thrown away and made anew from the files")
        if self._in_memory:
            self._close()
            self._connection = index.connect(Path(":memory:"))
        else:
            self._throw_away()
        self.refreshed = self._refreshed_anew()

    def _refreshed_anew(self) -> Refreshed:
        try:
            return self._refresh(self._open())
        except sqlite3.DatabaseError as error:
            self._tell(f"{self._path}: the index cannot be written ({error}); kept in memory this time")
            self._close()
            self._memory()
            return self._refresh(self._open())

    def _throw_away(self) -> None:
        self._close()
        try:
            for end in ("", "-journal", "-wal", "-shm"):
                self._path.with_name(NAME + end).unlink(missing_ok=True)
        except OSError as error:
            self._tell(f"{self._path}: cannot be thrown away ({error.strerror}); kept in memory this time")
            self._memory()

    def _to_memory(self) -> None:
        """Go on with a copy of the index in memory, or with none where there is no sound one to copy."""
        self._close()
        self._memory()
        copy = self._open()
        if not self._path.is_file():
            return
        try:
            with closing(sqlite3.connect(f"{self._path.absolute().as_uri()}?mode=ro", uri=True)) as disk:
                disk.backup(copy)
            index.check(copy)
        except (sqlite3.Error, Damaged):
            self._close()
            self._memory()

    def _memory(self) -> None:
        self._in_memory = True
        self._connection = index.connect(Path(":memory:"))

    @property
    def _path(self) -> Path:
        return self.records / NAME

    def _close(self) -> None:
        if self._connection is not None:
            with contextlib.suppress(sqlite3.Error):
                self._connection.close()
            self._connection = None


def _code(error: sqlite3.DatabaseError) -> int | None:
    """Return the plain code of an error, without what SQLite adds to it."""
    code = getattr(error, "sqlite_errorcode", None)
    return None if code is None else code & 0xFF


def folder_of_records(path: Path) -> Path:
    """Return the folder of records that is meant by a path: it, or the `records` in a station's folder.

    Raises:
        StorageError: it is no folder.

    """
    found = path / "records" if (path / "records").is_dir() else path
    if not found.is_dir():
        raise StorageError(f"{path}: there is no such folder of records")
    return found
