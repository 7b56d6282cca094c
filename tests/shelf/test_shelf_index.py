"""The index says what the files say: for every question, after every change, and whatever befalls it."""

import multiprocessing
import os
import sqlite3
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_records import BEGUN, DEPTHS, DIVERS, PLACES, Maker, varied

from station.errors import StorageError
from station.folder import Folder
from station.record.signers import parse
from station.record.verify import Status, verify_file
from station.shelf import index
from station.shelf.earlier import signers_of
from station.shelf.entry import UNREADABLE, Entry, entry_of
from station.shelf.index import NAME
from station.shelf.query import Query
from station.shelf.scan import scan
from station.shelf.shelf import Shelf, folder_of_records


def plain(folder: Folder) -> list[Entry]:
    """Return the entries of all files by reading every one of them."""
    listed = signers_of(folder)
    paths = sorted(folder.records.glob("[!.]*.toml"))
    return [entry_of(path.name, path.read_bytes()).judged(listed) for path in paths]


def is_named(words: str, name: str) -> bool:
    return words.lower() == name.lower()


def holds(query: Query, one: Entry) -> bool:
    """Whether an entry is one that a question asks for, told without any database."""
    dive = one.dive
    if query.unsound and one.status == "sound":
        return False
    if dive is None:
        only = (query.diver, query.since, query.until, query.place, query.deeper_fsw, query.shallower_fsw)
        return query.deviation is None and query.drill is not True and not any(only)
    kinds = "\n".join(dive.deviations)
    return all(
        (
            not query.diver or query.diver == dive.diver or is_named(query.diver, dive.diver_name),
            query.since is None or dive.day >= query.since,
            query.until is None or dive.day <= query.until,
            all(word in dive.place.casefold() for word in query.place.casefold().split()),
            query.deeper_fsw is None or dive.depth_fsw > query.deeper_fsw,
            query.shallower_fsw is None or dive.depth_fsw < query.shallower_fsw,
            query.deviation is None or (kinds and all(word in kinds for word in query.deviation.split())),
            query.drill is None or dive.drill == query.drill,
        )
    )


def scanned(query: Query, entries: Sequence[Entry]) -> list[Entry]:
    found = [one for one in entries if holds(query, one)]
    found.sort(key=lambda one: one.name)
    return sorted(found, key=lambda one: -one.dive.started.timestamp() if one.dive else 0.0)


DAYS = st.none() | st.integers(0, 12).map(lambda days: (BEGUN + timedelta(days=days)).date())
NEAR = st.none() | st.sampled_from(sorted({*DEPTHS, 59.5, 0.0, 300.0}))
QUERIES = st.builds(
    Query,
    diver=st.sampled_from(["", *(one for pair in DIVERS for one in pair), "EDDA LUNN", "nobody"]),
    since=DAYS,
    until=DAYS,
    place=st.sampled_from(["", *PLACES, "gate", "ossary LAKE", "'; DROP TABLE record", "%"]),
    deeper_fsw=NEAR,
    shallower_fsw=NEAR,
    deviation=st.sampled_from([None, "", "first stop", "surface", "omitted", "delay stop"]),
    unsound=st.booleans(),
    drill=st.sampled_from([None, True, False]),
)


@pytest.fixture(scope="module")
def small(maker: Maker, tmp_path_factory: pytest.TempPathFactory) -> tuple[Shelf, list[Entry]]:
    """A shelf of thirty records, several of them not sound, with its plain scan."""
    folder = Folder(tmp_path_factory.mktemp("small")).prepare()
    folder.allowed_signers.write_text(maker.list_of_signers(), encoding="utf-8")
    for number in range(20):
        path = maker.put(folder.records, varied(number))
        if number % 5 == 4:
            path.write_bytes(path.read_bytes().replace(b"strong", b"weakly").replace(b"calm", b"waves", 1))
    made = varied(40)
    (folder.records / "unsigned.toml").write_bytes(maker.record(made, roles=("timekeeper",)))
    (folder.records / "note.toml").write_bytes(b"x = 1\n")
    shelf = Shelf(folder.records, signers_of(folder), pytest.fail, 1, None)
    shelf.refresh()
    return shelf, plain(folder)


@settings(derandomize=True, max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(query=QUERIES)
def test_the_index_answers_as_a_plain_scan_does(query: Query, small: tuple[Shelf, list[Entry]]) -> None:
    shelf, entries = small
    assert shelf.find(query) == scanned(query, entries)


def test_the_verdicts_are_those_of_the_verifier(small: tuple[Shelf, list[Entry]]) -> None:
    shelf, _ = small
    found = shelf.find(Query())
    assert len(found) == 22
    assert {one.status for one in found} == {"sound", "altered or damaged", "not yet signed", "not a record"}
    for one in found:
        verdict = verify_file(shelf.records / one.name, shelf.listed)
        assert (one.status, one.problem) == (verdict.status, verdict.problem)


def same_as_files(shelf: Shelf, folder: Folder) -> None:
    assert shelf.find(Query()) == scanned(Query(), plain(folder))


def test_a_file_added_changed_touched_renamed_or_removed(
    shelf: Shelf, filled: Folder, maker: Maker, told: list[str]
) -> None:
    names = sorted(path.name for path in filled.records.glob("*.toml"))
    maker.put(filled.records, varied(20))
    (filled.records / names[0]).unlink()
    changed = filled.records / names[1]
    before = changed.stat()
    changed.write_bytes(changed.read_bytes().replace(b"calm", b"mild", 1))
    os.utime(changed, ns=(before.st_atime_ns, before.st_mtime_ns))  # size and time as they were
    os.utime(filled.records / names[2], (0, 0))
    (filled.records / names[3]).rename(filled.records / "elsewhere.toml")
    refreshed = shelf.refresh()
    assert (refreshed.there, refreshed.gone) == (6, 2)
    same_as_files(shelf, filled)
    (altered,) = shelf.find(Query(unsound=True))
    assert (altered.name, altered.status) == (names[1], Status.ALTERED)
    assert told == []


def test_what_has_settled_is_not_read_again(filled: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("station.shelf.scan.SETTLES_NS", -1)
    with Shelf.open(filled.records, tell=pytest.fail) as shelf:
        assert shelf.refreshed.read == 6
        assert shelf.refresh().read == 0
        os.utime(next(filled.records.glob("*.toml")))
        assert shelf.refresh().read == 1
        assert shelf.refresh().read == 0


def test_what_was_read_at_once_is_looked_at_again(filled: Folder) -> None:
    """A clock that stands still between two writes would hide the second; a file's bytes do not."""
    with Shelf.open(filled.records, tell=pytest.fail) as shelf:
        assert shelf.refresh().read == 6


def test_a_list_that_changes_judges_all_anew_without_reading(
    filled: Folder, maker: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("station.shelf.scan.SETTLES_NS", -1)
    with Shelf.open(filled.records, signers_of(filled), tell=pytest.fail) as shelf:
        assert shelf.find(Query(unsound=True)) == []
    shorter = parse(maker.list_of_signers().splitlines()[0].encode(), "list")
    with Shelf.open(filled.records, shorter, tell=pytest.fail) as shelf:
        assert shelf.refreshed.read == 0
        found = shelf.find(Query(unsound=True))
    assert len(found) == 6
    assert {one.status for one in found} == {Status.UNLISTED}
    verdict = verify_file(filled.records / found[0].name, shorter)
    assert found[0].problem == verdict.problem
    with Shelf.open(filled.records, signers_of(filled), tell=pytest.fail) as shelf:
        assert shelf.find(Query(unsound=True)) == []


def bytes_anywhere(path: Path) -> None:
    data = bytearray(path.read_bytes())
    for at in range(200, len(data), 97):
        data[at] ^= 0xFF
    path.write_bytes(data)


def an_older_version(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE about SET value = '0.0.1' WHERE key = 'program'")


def entries_cut(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE record SET entry = substr(entry, 1, 40)")


def a_table_gone(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        connection.execute("DROP TABLE record")


def foreign(path: Path) -> None:
    path.unlink()
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE record(name)")


@pytest.mark.parametrize(
    "harm",
    [
        bytes_anywhere,
        an_older_version,
        entries_cut,
        a_table_gone,
        foreign,
        lambda path: path.write_bytes(b"no database, but longer than nothing\n" * 50),
        lambda path: path.write_bytes(path.read_bytes()[:5000]),
    ],
)
def test_an_index_that_is_not_right_is_made_anew(
    shelf: Shelf, filled: Folder, told: list[str], harm: Callable[[Path], object]
) -> None:
    shelf._close()
    harm(filled.records / NAME)
    with Shelf.open(filled.records, signers_of(filled), tell=told.append) as again:
        same_as_files(again, filled)
    assert len(told) == 1
    assert "thrown away and made anew from the files" in told[0]
    with Shelf.open(filled.records, signers_of(filled), tell=pytest.fail) as again:
        same_as_files(again, filled)


def test_an_empty_file_in_its_place_becomes_the_index(filled: Folder) -> None:
    (filled.records / NAME).touch()
    with Shelf.open(filled.records, signers_of(filled), tell=pytest.fail) as shelf:
        same_as_files(shelf, filled)


def test_where_it_cannot_be_written_it_is_kept_in_memory(filled: Folder, told: list[str]) -> None:
    (filled.records / NAME).mkdir()
    with Shelf.open(filled.records, signers_of(filled), tell=told.append) as shelf:
        same_as_files(shelf, filled)
    assert len(told) == 1
    assert "kept in memory" in told[0]


def test_a_read_only_folder(
    shelf: Shelf, filled: Folder, maker: Maker, told: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The index of a folder that has changed since is copied and brought up to date in memory."""
    shelf._close()
    before = (filled.records / NAME).read_bytes()
    maker.put(filled.records, varied(30))

    def read_only(path: Path) -> sqlite3.Connection:
        if str(path) == ":memory:":
            return connect(path)
        return sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, isolation_level=None)

    connect = index.connect
    monkeypatch.setattr(index, "connect", read_only)
    with Shelf.open(filled.records, signers_of(filled), tell=told.append) as again:
        same_as_files(again, filled)
        assert again.refreshed.there == 7
    assert len(told) == 1
    assert "cannot be written" in told[0]
    assert (filled.records / NAME).read_bytes() == before


def test_a_full_disk(filled: Folder, told: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    connect = index.connect

    def full(path: Path) -> sqlite3.Connection:
        connection = connect(path)
        if str(path) != ":memory:":
            connection.execute("PRAGMA max_page_count = 11")
        return connection

    monkeypatch.setattr(index, "connect", full)
    with Shelf.open(filled.records, signers_of(filled), tell=told.append) as shelf:
        same_as_files(shelf, filled)
    assert len(told) == 1
    assert "full" in told[0]


def test_a_file_out_of_reach_is_named_and_tried_again(
    shelf: Shelf, filled: Folder, told: list[str], maker: Maker
) -> None:
    gone = filled.records / "gone.toml"
    gone.symlink_to(filled.path / "nowhere.toml")
    (filled.records / "folder.toml").mkdir()
    (filled.records / ".hidden.toml").write_bytes(b"")
    os.mkfifo(filled.records / "pipe.toml")
    assert shelf.refresh().there == 7
    (one,) = shelf.find(Query(unsound=True))
    assert (one.name, one.status, one.dive) == ("gone.toml", UNREADABLE, None)
    assert one.problem == "No such file or directory"
    maker.put(filled.path, varied(31), "nowhere.toml")
    shelf.refresh()
    assert shelf.find(Query(unsound=True)) == []
    assert told == []


def _refreshed(records: Path, listed_at: Path) -> int:
    with Shelf.open(records, signers_of(Folder(listed_at)), tell=pytest.fail) as shelf:
        return len(shelf.find(Query()))


def test_two_processes_at_once(filled: Folder) -> None:
    with multiprocessing.get_context("fork").Pool(2) as pool:
        counts = pool.starmap(_refreshed, [(filled.records, filled.path)] * 4, chunksize=1)
    assert counts == [6] * 4
    with Shelf.open(filled.records, signers_of(filled), tell=pytest.fail) as shelf:
        same_as_files(shelf, filled)


def test_what_another_process_added_meanwhile_is_not_taken_away(shelf: Shelf, filled: Folder) -> None:
    """A file that is not in this scan, but whose row came after it began, is another process's."""
    with Shelf.open(filled.records, signers_of(filled), tell=pytest.fail) as other:
        seen = scan

        def scan_then_add(connection: sqlite3.Connection, records: Path) -> int:
            count = seen(connection, records)
            path = next(filled.records.glob("*.toml"))
            (filled.records / "late.toml").write_bytes(path.read_bytes())
            other.refresh()
            return count

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(index, "scan", scan_then_add)
            patch.setattr(other, "refresh", lambda: _with(seen, other))
            shelf.refresh()
    assert [one.name for one in shelf.select("name = 'late.toml'")] == ["late.toml"]


def _with(seen: object, shelf: Shelf) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(index, "scan", seen)
        Shelf.refresh(shelf)


def test_several_processes_read_what_one_does(filled: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(index, "MANY", 1)
    with Shelf.open(filled.records, signers_of(filled), tell=pytest.fail, jobs=2) as shelf:
        same_as_files(shelf, filled)


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="there is no such folder of records"):
        folder_of_records(tmp_path / "nowhere")
    with pytest.raises(StorageError), Shelf.open(tmp_path / "nowhere", tell=lambda _: None):
        pytest.fail("opened")


def test_days_are_those_of_the_record() -> None:
    assert Query(since=date(2031, 5, 4)).where() == ("(day >= ?)", ("2031-05-04",))
    assert Query().where() == ("1", ())
