"""Making, opening and refusing files."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from station.errors import JournalError, StorageError
from station.events import to_text
from station.journal import store
from station.journal.chain import GENESIS, body_digest, link
from station.journal.schema import APPLICATION_ID, FORMAT
from station.journal.store import SqliteJournal
from station.journal.verify import check
from tests.journal.conftest import note, written


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return a journal of three entries."""
    return written(tmp_path / "weir.journal", notes=2)


@pytest.fixture
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """Return SQLite's own way into the same file."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        yield connection


def refused(path: Path, kind: type[Exception], words: str) -> None:
    """Neither way of opening nor the check takes the file, and all say why in one line."""
    for attempt in (
        lambda: SqliteJournal.open(path).close(),
        lambda: SqliteJournal.open(path, read_only=True).close(),
        lambda: check(path),
    ):
        with pytest.raises(kind) as caught:
            attempt()
        assert words in str(caught.value)
        assert str(caught.value).startswith(f"{path}: ")
        assert "\n" not in str(caught.value)


def test_the_header_says_whose_file_it_is(path: Path) -> None:
    """sqlite.org/fileformat.html 1.3: magic at 0, user version at 60, application id at 68, big-endian."""
    header = path.read_bytes()[:100]
    assert header[:16] == b"SQLite format 3\0"
    assert int.from_bytes(header[60:64], "big") == FORMAT
    assert int.from_bytes(header[68:72], "big") == APPLICATION_ID
    assert header[18:20] == b"\x01\x01", "a rollback journal, not a write-ahead log"


def test_every_append_waits_for_the_disk(path: Path) -> None:
    """Pragma synchronous 2 is FULL: sqlite.org/pragma.html#pragma_synchronous."""
    with closing(SqliteJournal.open(path)) as journal:
        assert journal._connection.execute("PRAGMA synchronous").fetchone() == (2,)
        assert journal._connection.execute("PRAGMA journal_mode").fetchone() == ("truncate",)
        assert journal._connection.execute("PRAGMA fullfsync").fetchone() == (1,)


def test_names_that_mean_something_in_an_address_are_plain_names(tmp_path: Path) -> None:
    path = tmp_path / "50% rise? #2 & mode=ro.journal"
    with closing(SqliteJournal.create(path)) as journal:
        journal.append(note("taken"), 0)
    assert check_head(path) == 1
    assert not [one for one in tmp_path.iterdir() if not one.name.startswith(path.name)]


def check_head(path: Path) -> int:
    with closing(SqliteJournal.open(path, read_only=True)) as journal:
        return journal.head()[0]


def test_a_name_without_the_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(JournalError, match=r"ends in \.journal"):
        SqliteJournal.create(tmp_path / "weir.db")
    assert list(tmp_path.iterdir()) == []


def test_an_existing_file_is_never_written_over(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(JournalError, match="there already"):
        SqliteJournal.create(path)
    assert path.read_bytes() == before
    assert {one.name for one in path.parent.iterdir()} <= {path.name, path.name + "-journal"}


def test_a_journal_in_a_missing_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="cannot be made: No such file or directory"):
        SqliteJournal.create(tmp_path / "nowhere" / "weir.journal")


def test_a_missing_file_is_not_made_by_opening(tmp_path: Path) -> None:
    refused(tmp_path / "weir.journal", JournalError, "no such file")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_is_refused(tmp_path: Path) -> None:
    refused(tmp_path, JournalError, "a folder")


def test_a_path_through_a_file_is_refused(path: Path) -> None:
    refused(path / "weir.journal", StorageError, "cannot be opened: Not a directory")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"title = 'no journal'\n" * 200, "not an SQLite file"),
        (b"x", "too short"),
        (os.urandom(8192), "not an SQLite file"),
    ],
    ids=["empty", "toml", "one byte", "noise"],
)
def test_a_foreign_file_is_refused_and_left_alone(tmp_path: Path, data: bytes, words: str) -> None:
    path = tmp_path / "weir.journal"
    path.write_bytes(data)
    refused(path, JournalError, words)
    assert path.read_bytes() == data


def test_an_sqlite_file_of_another_program_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "weir.journal"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE entry(seq, body, prev, hash)")
    before = path.read_bytes()
    refused(path, JournalError, "another program")
    assert path.read_bytes() == before


def test_a_newer_format_is_told_from_a_broken_one(path: Path, raw: sqlite3.Connection) -> None:
    raw.execute(f"PRAGMA user_version = {FORMAT + 1}")
    refused(path, JournalError, f"written by a newer program in format {FORMAT + 1}")
    raw.execute("PRAGMA user_version = 0")
    refused(path, JournalError, "not as the station makes them (format 0)")


@pytest.mark.parametrize(
    ("kind", "change", "words"),
    [
        ("siren.sounded", ('"kind":"note.made"', '"kind":"siren.sounded"'), "of the kind 'siren.sounded'"),
        ("version 2", ('"version":1', '"version":2'), "of version 2"),
    ],
)
def test_an_entry_of_a_newer_program_is_named(
    path: Path, raw: sqlite3.Connection, kind: str, change: tuple[str, str], words: str
) -> None:
    """Not called damaged: kept by the rules, but of a kind this program cannot judge."""
    add(raw, to_text(note(kind)).replace(*change))
    for attempt in (lambda: read(path), lambda: check(path)):
        with pytest.raises(JournalError, match=f"entry 4 is {words}, which this program does not know"):
            attempt()


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("", "Invalid JSON"),
        ("[]", "Input should be"),
        ("{}", "Unable to extract tag"),
        ('{"kind":"note.made"}', "note.made.at: Field required"),
        (to_text(note("x")).replace('"version":1', '"version":0'), "note.made.version: Input should be 1"),
        (to_text(note("x")).replace('"version":1', '"version":"2"'), "note.made.version: Input should be 1"),
        (
            to_text(note("x")).replace("2031-05-04T", "0001-01-01T").replace("Z", "+23:00"),
            "outside the years 1 to 9999",
        ),
        (to_text(note("x")).replace('"text"', '"\\u001b[2J\\n":1,"text"'), "note.made.?[2J : Extra"),
        ('{"a":' * 2000 + "1" + "}" * 2000, "Invalid JSON"),
    ],
)
def test_an_entry_that_is_none_is_named(path: Path, raw: sqlite3.Connection, body: str, words: str) -> None:
    add(raw, body)
    for attempt in (lambda: read(path), lambda: check(path)):
        with pytest.raises(JournalError, match="entry 4 cannot be read") as caught:
            attempt()
        assert words in str(caught.value)
        assert str(caught.value).isprintable()


def add(raw: sqlite3.Connection, body: str) -> None:
    """Put a body on the journal as a program with other ideas of events would, chain and all."""
    seq, head = raw.execute("SELECT seq, hash FROM entry ORDER BY seq DESC LIMIT 1").fetchone()
    row = (seq + 1, body, head, link(head, body_digest(body)))
    raw.execute("INSERT INTO entry(seq, body, prev, hash) VALUES (?, ?, ?, ?)", row)


def read(path: Path) -> None:
    with closing(SqliteJournal.open(path, read_only=True)) as journal:
        journal.read()


def test_the_sqlite_of_this_python_is_new_enough_or_named(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 36, 0))
    refused(path, StorageError, "needs SQLite 3.37.0 or newer")


def test_a_journal_set_to_another_mode_is_set_right(path: Path, raw: sqlite3.Connection) -> None:
    raw.execute("PRAGMA journal_mode = WAL")
    raw.close()
    with closing(SqliteJournal.open(path)) as journal:
        assert journal.append(note("next"), 3).seq == 4
    assert path.read_bytes()[18:20] == b"\x01\x01"


def test_a_journal_kept_in_another_mode_is_refused(path: Path, raw: sqlite3.Connection) -> None:
    raw.execute("PRAGMA journal_mode = WAL")
    raw.execute("BEGIN")
    raw.execute("SELECT * FROM entry").fetchall()
    with pytest.raises(StorageError, match=r"locked|in the mode 'wal'"):
        SqliteJournal.open(path)


def test_a_locked_journal_is_told_and_works_afterwards(
    path: Path, raw: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "TIMEOUT_S", 0.01)
    with closing(SqliteJournal.open(path)) as journal:
        raw.execute("BEGIN EXCLUSIVE")
        for attempt in (
            lambda: journal.append(note("next"), 3),
            lambda: journal.attach("a.toml", b"a = 1"),
            journal.read,
            journal.head,
        ):
            with pytest.raises(StorageError, match=r"kept the file locked .*nothing was written"):
                attempt()
        raw.execute("ROLLBACK")
        assert journal.append(note("next"), 3).seq == 4


def test_a_read_that_fails_shows_as_changed(
    path: Path, raw: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What changed() told once but could not be read must be told again."""
    monkeypatch.setattr(store, "TIMEOUT_S", 0.01)
    with closing(SqliteJournal.open(path)) as journal:
        assert (journal.changed(), journal.changed()) == (True, False)
        raw.execute("BEGIN EXCLUSIVE")
        with pytest.raises(StorageError):
            journal.read()
        raw.execute("ROLLBACK")
        assert journal.changed()


def test_a_reader_does_not_write(path: Path) -> None:
    before = path.read_bytes()
    with closing(SqliteJournal.open(path, read_only=True)) as journal:
        assert [entry.seq for entry in journal.read()] == [1, 2, 3]
        for attempt in (lambda: journal.append(note("next"), 3), lambda: journal.attach("a", b"")):
            with pytest.raises(StorageError, match="cannot be written, nothing was written"):
                attempt()
        assert journal.head()[0] == 3
    assert path.read_bytes() == before


def test_a_reader_follows_a_writer(path: Path) -> None:
    with (
        closing(SqliteJournal.open(path)) as writer,
        closing(SqliteJournal.open(path, read_only=True)) as reader,
    ):
        assert (reader.changed(), reader.changed()) == (True, False)
        entry = writer.append(note("next"), 3)
        assert reader.changed()
        assert reader.read(after=3) == [entry]


def test_an_entry_never_goes_into_a_file_that_was_taken_away(path: Path) -> None:
    """An append to a deleted file would be shown as taken and be lost with the last handle."""
    with closing(SqliteJournal.open(path)) as journal:
        path.unlink()
        with pytest.raises(StorageError, match="moved or deleted while it was open"):
            journal.append(note("next"), 3)


def test_a_closed_journal_says_so(path: Path) -> None:
    journal = SqliteJournal.open(path)
    journal.close()
    with pytest.raises(StorageError, match="closed"):
        journal.append(note("next"), 3)


def test_opening_leaves_the_entries_as_they_are(path: Path) -> None:
    before = path.read_bytes()
    SqliteJournal.open(path).close()
    assert path.read_bytes() == before


def test_an_empty_journal_checks_as_empty(tmp_path: Path) -> None:
    """As it stands when a program was stopped between making it and its first entry."""
    path = tmp_path / "weir.journal"
    SqliteJournal.create(path).close()
    report = check(path)
    assert (report.entries, report.head, report.attachments, report.unattached) == (0, GENESIS, 0, ())
