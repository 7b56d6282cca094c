"""What a journal holds after its writers were killed, and after several wrote at once."""

import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from station.errors import StorageError
from station.events import NoteMade
from station.journal.store import SqliteJournal
from station.journal.verify import check
from tests.journal.conftest import note

APPENDER = Path(__file__).with_name("appender.py")
KILLS = 200
SEED = 19430


def test_no_entry_shown_as_taken_is_lost_by_two_hundred_kills(path: Path) -> None:
    """A hundred rounds of two writers, both killed at any moment.

    Every entry reported is there under its number; what is there beyond was written and not yet reported,
    at most one by each writer. No entry is there twice, and the journal opens and takes entries at once.
    """
    run = subprocess.run(
        [sys.executable, APPENDER, "kill", path, str(KILLS // 2), str(SEED)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (run.returncode, run.stderr) == (0, "")
    reported = dict(line.split() for line in run.stdout.splitlines())
    with closing(SqliteJournal.open(path)) as journal:
        entries = journal.read()
        held = {str(entry.seq): entry.event.id for entry in entries[1:]}
        assert {seq: held.get(seq) for seq in reported} == reported
        assert len(reported) >= KILLS // 2
        assert len(held) - len(reported) <= KILLS
        assert journal.append(note("after the last kill"), entries[-1].seq).seq == len(entries) + 1
    assert check(path).entries == len(entries) + 1


def test_two_processes_write_one_journal(path: Path) -> None:
    """Nothing lost, nothing doubled, each writer's entries in its own order, and one history for all."""
    count = 150
    names = ("left", "right")
    writers = [
        subprocess.Popen([sys.executable, APPENDER, "race", path, name, str(count)], stderr=subprocess.PIPE)
        for name in names
    ]
    for writer in writers:
        assert (writer.communicate()[1], writer.returncode) == (b"", 0)
    with closing(SqliteJournal.open(path)) as here, closing(SqliteJournal.open(path)) as there:
        entries = here.read()
        assert entries == there.read()
    texts = [entry.event.text for entry in entries if isinstance(entry.event, NoteMade)]
    for name in names:
        assert [text for text in texts if text.startswith(name)] == [f"{name} {n}" for n in range(count)]
    assert len(texts) == 2 * count
    assert check(path).entries == 2 * count + 1


@pytest.fixture
def stopped(path: Path, tmp_path: Path) -> Path:
    """Return a journal as a writer leaves it that is killed between writing and committing.

    The cache of one page makes SQLite write pages before the commit: file and rollback file are copied
    at that moment, which is what a killed process leaves behind.
    """
    copy = tmp_path / "stopped" / path.name
    copy.parent.mkdir()
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA cache_size = 1")
        connection.execute("BEGIN IMMEDIATE")
        for number in range(20):
            connection.execute("INSERT INTO attachment VALUES (?, 'x', zeroblob(9000))", (f"{number:064d}",))
        shutil.copyfile(path, copy)
        shutil.copyfile(rollback(path), rollback(copy))
        connection.execute("ROLLBACK")
    assert copy.read_bytes() != path.read_bytes()
    return copy


def rollback(path: Path) -> Path:
    return path.with_name(path.name + "-journal")


def test_a_write_cut_off_is_undone_by_the_next_opening(path: Path, stopped: Path) -> None:
    with closing(SqliteJournal.open(stopped)) as journal, closing(SqliteJournal.open(path)) as whole:
        assert journal.read() == whole.read()
    assert check(stopped) == check(path)


def test_the_check_of_a_write_cut_off_touches_nothing(path: Path, stopped: Path) -> None:
    before = stopped.read_bytes(), rollback(stopped).read_bytes()
    assert check(stopped) == check(path)
    assert (stopped.read_bytes(), rollback(stopped).read_bytes()) == before


def test_a_reader_of_a_write_cut_off_is_told(stopped: Path) -> None:
    with pytest.raises(StorageError, match="stopped while writing it; open it once for writing"):
        SqliteJournal.open(stopped, read_only=True)
