"""What a journal file holds, and how it is told from every other file.

The triggers keep every program out of the past, not only this one: an entry goes behind the last with the
right hash before it, and is never changed or deleted. The insert triggers also stop INSERT OR REPLACE, which
deletes a row without running a delete trigger (sqlite.org/lang_conflict.html, REPLACE). The attachments have
no rowid, by which a REPLACE could reach a row around its digest.

SQLite cannot compute SHA-256 itself: that a hash is the right one is checked whenever entries are read.
"""

import sqlite3

from station.errors import JournalError
from station.journal.sentences import EVIDENCE, plain

APPLICATION_ID = 0x44537441
"""Stands in the header of every journal of this program ("DStA"); sqlite.org/fileformat.html, offset 68."""

FORMAT = 1
"""Version of what is below; offset 60 of the header. Raised by any change that an older program misreads."""

STATEMENTS = {
    "entry": """CREATE TABLE entry(
  seq INTEGER PRIMARY KEY,
  body TEXT NOT NULL,
  prev BLOB NOT NULL CHECK(length(prev) = 32),
  hash BLOB NOT NULL CHECK(length(hash) = 32)
) STRICT""",
    "entry_only_behind_the_last": """CREATE TRIGGER entry_only_behind_the_last BEFORE INSERT ON entry
WHEN NEW.seq IS NOT 1 + coalesce((SELECT max(seq) FROM entry), 0)
  OR NEW.prev IS NOT coalesce((SELECT hash FROM entry WHERE seq = NEW.seq - 1), zeroblob(32))
BEGIN SELECT RAISE(ABORT, 'an entry goes behind the last one'); END""",
    "entry_never_changed": """CREATE TRIGGER entry_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END""",
    "entry_never_deleted": """CREATE TRIGGER entry_never_deleted BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END""",
    "attachment": """CREATE TABLE attachment(
  sha256 TEXT PRIMARY KEY CHECK(length(sha256) = 64),
  name TEXT NOT NULL,
  content BLOB NOT NULL
) STRICT, WITHOUT ROWID""",
    "attachment_only_new": """CREATE TRIGGER attachment_only_new BEFORE INSERT ON attachment
WHEN EXISTS (SELECT 1 FROM attachment WHERE sha256 = NEW.sha256)
BEGIN SELECT RAISE(ABORT, 'an attachment is never replaced'); END""",
    "attachment_never_changed": """CREATE TRIGGER attachment_never_changed BEFORE UPDATE ON attachment
BEGIN SELECT RAISE(ABORT, 'an attachment is never changed'); END""",
    "attachment_never_deleted": """CREATE TRIGGER attachment_never_deleted BEFORE DELETE ON attachment
BEGIN SELECT RAISE(ABORT, 'an attachment is never deleted'); END""",
}
"""Everything in the file by name, word for word as SQLite keeps it."""


def build(connection: sqlite3.Connection) -> None:
    """Make an empty file a journal, all of it or nothing."""
    connection.execute("BEGIN EXCLUSIVE")
    for statement in STATEMENTS.values():
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {FORMAT}")
    connection.execute("COMMIT")


def identify(source: str, connection: sqlite3.Connection) -> None:
    """Make sure that the file is a journal of this program in the format of this version.

    Raises:
        JournalError: it is another program's, in another format, or its tables and guards were changed.
    """
    if _number(connection, "application_id") != APPLICATION_ID:
        raise JournalError(f"{source}: an SQLite file of another program, not a journal; name a journal")
    version = _number(connection, "user_version")
    if version > FORMAT:
        raise JournalError(
            f"{source}: written by a newer program in format {version}, this one reads format {FORMAT}; "
            "use the newer program"
        )
    found = {
        name.decode("utf-8", "replace"): sql.decode("utf-8", "replace")
        for name, sql in connection.execute(
            "SELECT coalesce(CAST(name AS BLOB), x''), CAST(sql AS BLOB) FROM sqlite_schema "
            "WHERE sql IS NOT NULL"
        )
    }
    wrong = sorted(
        name for name in STATEMENTS.keys() | found.keys() if STATEMENTS.get(name) != found.get(name)
    )
    if version < FORMAT or wrong:
        what = f"'{plain(wrong[0])}'" if wrong else f"format {version}"
        raise JournalError(
            f"{source}: tables or guards are not as the station makes them ({what}), so another program has "
            f"changed the file; {EVIDENCE}"
        )


def _number(connection: sqlite3.Connection, pragma: str) -> int:
    return int(connection.execute(f"PRAGMA {pragma}").fetchone()[0])
