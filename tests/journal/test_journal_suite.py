"""What every journal does, in a file and in memory alike."""

import hashlib
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from station.errors import HeadMoved, JournalError
from station.events import EntryAmended, NoteMade, stamp
from station.journal.chain import GENESIS, body_digest, link
from station.journal.interface import Journal
from station.journal.memory import MemoryJournal, Store
from station.journal.store import SqliteJournal
from tests.journal.conftest import NOON, note, opening

Seat = Callable[[], Journal]


@pytest.fixture(params=["file", "memory"])
def seat(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Seat]:
    """Return what opens one seat after another on the same journal."""
    with ExitStack() as stack:
        if request.param == "memory":
            store = Store()
            yield lambda: MemoryJournal(store)
            return
        path = tmp_path / "weir.journal"
        SqliteJournal.create(path).close()

        def opened() -> Journal:
            journal = SqliteJournal.open(path)
            stack.callback(journal.close)
            return journal

        yield opened


def test_a_new_journal_is_empty(seat: Seat) -> None:
    journal = seat()
    assert (journal.head(), journal.read()) == ((0, GENESIS), [])


def test_an_entry_reads_back_as_it_was_given(seat: Seat) -> None:
    journal = seat()
    event = note("Line fouled, \N{DEGREE SIGN} and \N{SNOWMAN}\nsecond line; 'quoted' \"twice\"")
    entry = journal.append(event, 0)
    assert (entry.seq, entry.event) == (1, event)
    assert seat().read() == [entry]


def test_the_body_is_one_line(seat: Seat) -> None:
    assert "\n" not in seat().append(note("first\nsecond"), 0).body


def test_hashes_follow_the_formula(seat: Seat) -> None:
    """FIPS 180-4 SHA-256, by the standard library, over the bytes the chain's docstring names."""
    journal = seat()
    previous = bytes(32)
    for seq in range(3):
        entry = journal.append(note(f"note {seq}"), seq)
        previous = hashlib.sha256(previous + hashlib.sha256(entry.body.encode()).digest()).digest()
        assert entry.hash == previous
    assert journal.head() == (3, previous)


def test_the_event_taken_is_the_event_read_later(seat: Seat) -> None:
    """A moment among free values comes back as text; the seat that entered it sees that text too."""
    journal = seat()
    event = EntryAmended(
        target="0" * 32, changes={"at": NOON}, reason="mistyped", **stamp(NOON, "mira-holt", "supervisor")
    )
    entry = journal.append(event, 0)
    assert entry.event == journal.read()[0].event
    assert isinstance(entry.event, EntryAmended)
    assert entry.event.changes == {"at": "2031-05-04T12:00:00Z"}


@pytest.mark.parametrize("expected", [0, 2, 99, -1])
def test_an_append_on_another_head_changes_nothing(seat: Seat, expected: int) -> None:
    journal = seat()
    first = journal.append(note("first"), 0)
    with pytest.raises(HeadMoved, match=f"the last entry is 1 and not {expected}"):
        journal.append(note("second"), expected)
    assert journal.read() == [first]
    assert journal.append(note("second"), 1).seq == 2


def test_an_event_that_would_not_read_back_is_refused(seat: Seat) -> None:
    journal = seat()
    broken = note("fine").model_copy(update={"seat": "bridge"})
    with pytest.raises(JournalError, match=r"note.made cannot be kept as an entry .*seat"):
        journal.append(broken, 0)
    unwritable = EntryAmended(
        target="0" * 32, changes={"text": "\udc80"}, reason="x", **stamp(NOON, "mira-holt", "supervisor")
    )
    with pytest.raises(
        JournalError, match=r"entry.amended cannot be kept as an entry .*; nothing was written"
    ):
        journal.append(unwritable, 0)
    assert journal.head() == (0, GENESIS)
    assert journal.append(note("next"), 0).seq == 1


def test_read_goes_on_from_a_number(seat: Seat) -> None:
    journal = seat()
    entries = [journal.append(note(f"note {seq}"), seq) for seq in range(5)]
    for after in range(6):
        assert journal.read(after) == entries[after:]


@pytest.mark.parametrize("after", [3, 1000])
def test_a_reader_ahead_of_the_journal_is_told(seat: Seat, after: int) -> None:
    journal = seat()
    for seq in range(2):
        journal.append(note(f"note {seq}"), seq)
    with pytest.raises(JournalError, match=f"entry {after} is not there"):
        journal.read(after)


def test_changed_tells_what_others_wrote_and_only_once(seat: Seat) -> None:
    here, there = seat(), seat()
    assert (here.changed(), here.changed()) == (True, False)
    here.append(note("mine"), 0)
    assert not here.changed()
    there.append(note("theirs"), 1)
    assert (here.changed(), here.changed()) == (True, False)
    there.attach("a.toml", b"a = 1\n")
    assert (here.changed(), here.changed()) == (True, False)


def test_a_lost_race_shows_as_changed(seat: Seat) -> None:
    """Even where the change was already told: a seat that missed to read on would else try for ever."""
    here, there = seat(), seat()
    there.append(note("theirs"), 0)
    assert (here.changed(), here.changed()) == (True, False)
    with pytest.raises(HeadMoved):
        here.append(note("mine"), 0)
    assert (here.changed(), here.changed()) == (True, False)


def test_two_seats_hold_one_journal(seat: Seat) -> None:
    here, there = seat(), seat()
    for seq in range(10):
        (here if seq % 3 else there).append(note(f"note {seq}"), seq)
    assert here.read() == there.read()
    assert [entry.event.text for entry in here.read() if isinstance(entry.event, NoteMade)] == [
        f"note {seq}" for seq in range(10)
    ]


def test_attachments_are_kept_by_their_digest(seat: Seat) -> None:
    """SHA-256 of "abc": FIPS 180-4 examples (NIST, SHA256.pdf), from memory."""
    here, there = seat(), seat()
    data = b"abc"
    sha256 = here.attach("letters.toml", data)
    assert sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert there.attachment(sha256) == data
    assert there.attach("again.toml", data) == sha256
    assert here.head() == (0, GENESIS)
    assert here.attachment(here.attach("empty.toml", b"")) == b""
    bits = bytes(range(256))
    assert here.attachment(here.attach("bits", bits)) == bits


def test_a_digest_without_attachment_is_told(seat: Seat) -> None:
    with pytest.raises(JournalError, match="no file with SHA-256 00"):
        seat().attachment("00" * 32)


def test_several_threads_may_append(seat: Seat) -> None:
    journal = seat()

    def work(name: str) -> None:
        done = 0
        while done < 10:
            try:
                journal.append(note(f"{name} {done}"), journal.head()[0])
            except HeadMoved:
                continue
            done += 1

    threads = [threading.Thread(target=work, args=(name,)) for name in ("left", "right")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    texts = [entry.event.text for entry in journal.read() if isinstance(entry.event, NoteMade)]
    assert sorted(texts) == sorted(f"{name} {seq}" for name in ("left", "right") for seq in range(10))


def test_closing_twice_does_no_harm(seat: Seat) -> None:
    journal = seat()
    journal.close()
    journal.close()


def test_the_opening_may_be_the_first_entry(seat: Seat) -> None:
    entry = seat().append(opening(), 0)
    assert entry.hash == link(GENESIS, body_digest(entry.body))
