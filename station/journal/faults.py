"""Every error of SQLite in the station's words: what is wrong, where, what to do."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from station.errors import JournalError, StationError, StorageError
from station.journal.sentences import EVIDENCE, plain

TIMEOUT_S = 2.0
"""How long a journal waits for another process to finish writing; a write takes about a millisecond."""

_JOURNAL = {
    sqlite3.SQLITE_NOTADB: "not a journal: not an SQLite file, or its beginning is damaged; name a journal",
    sqlite3.SQLITE_CORRUPT: f"the file is damaged; {EVIDENCE}",
    sqlite3.SQLITE_ERROR: "not as the station makes it ({error}); go on with a sound copy or a new journal",
    sqlite3.SQLITE_CONSTRAINT: "the journal refused the entry ({error}), nothing was written; open it anew",
}
_STORAGE = {
    sqlite3.SQLITE_FULL: "the disk is full, nothing was written; free space and enter it again",
    sqlite3.SQLITE_READONLY: (
        "the file or its folder cannot be written, nothing was written; "
        "open it for reading only, or move it to a folder that can be written"
    ),
    sqlite3.SQLITE_READONLY_DBMOVED: (
        "the file was moved or deleted while it was open, nothing was written; put it back and open it anew"
    ),
    sqlite3.SQLITE_READONLY_ROLLBACK: (
        "a program was stopped while writing it; open it once for writing, which puts it in order"
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "the file or its folder cannot be opened, nothing was written; look to the permissions of both"
    ),
    sqlite3.SQLITE_IOERR: "the disk failed ({name}), nothing was written; see to the disk and enter it again",
    sqlite3.SQLITE_BUSY: (
        f"another program has kept the file locked for {TIMEOUT_S:g} s, nothing was written; "
        "close that program or wait, and enter it again"
    ),
}
_OTHERWISE = (
    "the journal could not be used ({name}: {error}), nothing was written; open it anew and enter it again"
)


def translated(source: str, error: sqlite3.Error | UnicodeDecodeError) -> StationError:
    """Return the station's error for one of SQLite's; the special codes first, then the plain ones."""
    code = getattr(error, "sqlite_errorcode", 0)
    if not code and "decode" in str(error):
        code = sqlite3.SQLITE_CORRUPT  # text in the file, or in SQLite's own message about it, is no text
    name = getattr(error, "sqlite_errorname", type(error).__name__)
    for key in (code, code & 0xFF):
        for texts, kind in ((_JOURNAL, JournalError), (_STORAGE, StorageError)):
            if key in texts:
                return kind(f"{source}: " + texts[key].format(name=name, error=plain(str(error))))
    return StorageError(f"{source}: " + _OTHERWISE.format(name=name, error=plain(str(error))))


@contextmanager
def faults(source: str) -> Iterator[None]:
    """Turn an error of SQLite inside the block into the station's own."""
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise translated(source, error) from error
