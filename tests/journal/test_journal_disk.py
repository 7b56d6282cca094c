"""A disk that is full, or that cannot be written."""

import os
import resource
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, closing, contextmanager
from pathlib import Path

import pytest

from station.errors import StorageError
from station.journal.store import SqliteJournal
from station.journal.verify import check
from tests.journal.conftest import note, written

NOBODY = 65534
"""The user without rights; root may write where a test forbids it."""


@contextmanager
def mounted(folder: Path) -> Iterator[None]:
    """A disk of 256 kB in memory; needs the rights to mount it."""
    subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", folder], check=True, capture_output=True
    )
    try:
        yield
    finally:
        subprocess.run(["umount", folder], check=True)


def may_mount() -> bool:
    with tempfile.TemporaryDirectory() as folder:
        try:
            with mounted(Path(folder)):
                return True
        except (OSError, subprocess.CalledProcessError):
            return False


FULL = "the disk is full, nothing was written; free space and enter it again"


@contextmanager
def by_pages(journal: SqliteJournal) -> Iterator[str]:
    """SQLite's own limit: it answers as for a full disk."""
    pages = journal._connection.execute("PRAGMA page_count").fetchone()[0]
    journal._connection.execute(f"PRAGMA max_page_count = {pages + 5}")
    yield FULL
    journal._connection.execute("PRAGMA max_page_count = 100000")


@contextmanager
def by_file_limit(journal: SqliteJournal) -> Iterator[str]:
    """The system lets no file of this process grow further: SQLite answers with an I/O error."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (journal.path.stat().st_size + 5 * 4096, before[1]))
    try:
        yield "the disk failed (SQLITE_IOERR_WRITE), nothing was written"
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@contextmanager
def by_ballast(journal: SqliteJournal) -> Iterator[str]:
    """A disk that is full: another file has taken all of it but a few pages."""
    ballast = journal.path.with_name("ballast")
    free = os.statvfs(journal.path.parent)
    ballast.write_bytes(bytes(free.f_bavail * free.f_frsize - 8 * 4096))
    yield FULL
    ballast.unlink()


WAYS = [by_pages, by_file_limit, *([by_ballast] if may_mount() else [])]
"""The full disk itself where one can be mounted; what a full disk answers by other means everywhere."""


@pytest.mark.parametrize("way", WAYS)
def test_a_full_disk_loses_nothing_and_is_gone_on_with(
    tmp_path: Path, way: Callable[[SqliteJournal], AbstractContextManager[str]]
) -> None:
    """What was taken before stays, what is refused leaves no trace, and with room the next one is taken."""
    with ExitStack() as stack:
        if way is by_ballast:
            stack.enter_context(mounted(tmp_path))
        path = written(tmp_path / "weir.journal")
        journal = stack.enter_context(closing(SqliteJournal.open(path)))
        with way(journal) as words:
            taken = fill(journal, words)
            with pytest.raises(StorageError) as caught:
                journal.attach("large.toml", bytes(100_000))
            assert words in str(caught.value)
            assert len(journal.read()) == taken
            assert check(path).entries == taken
        assert journal.append(note("there is room again"), taken).seq == taken + 1
        assert check(path).entries == taken + 1


def fill(journal: SqliteJournal, words: str) -> int:
    """Append until the journal says no, twice; return the number of the last entry taken."""
    while True:
        head = journal.head()[0]
        assert head < 400
        try:
            journal.append(note("a line of the length that people write " * 10), head)
        except StorageError:
            break
    with pytest.raises(StorageError) as caught:
        journal.append(note("a line of the length that people write " * 10), head)
    assert words in str(caught.value)
    assert journal.head()[0] == head > 1
    return head


@pytest.mark.parametrize("size", [0, 512, 8192])
def test_a_journal_that_cannot_be_finished_is_not_begun(tmp_path: Path, size: int) -> None:
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        with pytest.raises(StorageError, match="nothing was written"):
            SqliteJournal.create(tmp_path / "weir.journal")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert list(tmp_path.iterdir()) == []
    written(tmp_path / "weir.journal")


@pytest.fixture
def guarded() -> Iterator[Path]:
    """Return a journal in a folder of its own, for a user whom permissions bind."""
    with tempfile.TemporaryDirectory() as name, bound(Path(name)):
        path = written(Path(name) / "weir.journal")
        (Path(name) / "weir.journal-journal").unlink()
        yield path
        path.parent.chmod(0o755)


@contextmanager
def bound(folder: Path) -> Iterator[None]:
    """Become nobody, and the folder nobody's, where the user is one whom no permission stops."""
    probe = folder / "probe"
    probe.touch(0o000)
    stopped = not os.access(probe, os.R_OK, effective_ids=True)
    probe.unlink()
    if stopped:
        yield
        return
    os.chown(folder, NOBODY, NOBODY)
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


def test_a_file_that_cannot_be_written_is_only_read(guarded: Path) -> None:
    guarded.chmod(0o444)
    with pytest.raises(StorageError, match="the file or its folder cannot be written, nothing was written"):
        SqliteJournal.open(guarded)
    readable(guarded)


def test_a_folder_that_cannot_be_written_is_told_at_once(guarded: Path) -> None:
    """At the opening and not at the first entry of a dive."""
    guarded.parent.chmod(0o555)
    with pytest.raises(StorageError, match=r"cannot be (written|opened), nothing was written"):
        SqliteJournal.open(guarded)
    readable(guarded)
    with pytest.raises(StorageError, match="cannot be made: Permission denied; choose another folder"):
        SqliteJournal.create(guarded.with_name("second.journal"))


def readable(path: Path) -> None:
    with closing(SqliteJournal.open(path, read_only=True)) as journal:
        assert len(journal.read()) == 1
        with pytest.raises(StorageError, match="nothing was written"):
            journal.append(note("refused"), 1)
    assert check(path).entries == 1


@pytest.mark.parametrize("what", ["file", "folder"])
def test_what_cannot_be_read_is_told(guarded: Path, what: str) -> None:
    (guarded if what == "file" else guarded.parent).chmod(0)
    for attempt in (
        lambda: SqliteJournal.open(guarded),
        lambda: SqliteJournal.open(guarded, read_only=True),
        lambda: check(guarded),
    ):
        with pytest.raises(StorageError, match="cannot be opened"):
            attempt()
