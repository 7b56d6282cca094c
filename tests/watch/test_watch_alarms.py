"""The watch notes alarms: once for all seats, whatever races they run, and whatever becomes of the disk."""

from datetime import timedelta

import pytest

from station.board.alarm_states import standing
from station.board.alarms import Alarm
from station.clock import HandClock
from station.errors import StorageError
from station.events import AlarmCleared, AlarmRaised, NoteMade
from station.journal.interface import Entry
from station.watch import AGAIN, SYSTEM, UNWRITTEN, Unwritten, Watch
from tests.watch.conftest import Contended, Failing

LOST = Alarm("high", "bank-1 lost", "Bank 1 LOST")
LOW = Alarm("high", "manifold low", "Manifold below its minimum")


def told(watch: Watch) -> list[str]:
    return [
        f"{event.at:%H:%M:%S} {'raised' if isinstance(event, AlarmRaised) else 'cleared'} {event.key}"
        for event in watch.board.log
        if isinstance(event, AlarmRaised | AlarmCleared)
    ]


def notice(watch: Watch, *stand: Alarm) -> list[Entry]:
    return watch.notice_alarms(stand, watch.clock.now())


class TestSeats:
    def test_two_seats_raise_and_clear_once(self, watch: Watch, other: Watch, hand: HandClock) -> None:
        assert len(notice(watch, LOST)) == 1
        assert notice(other, LOST) == []  # it had not read of it yet, and has now
        hand.advance(1)
        assert notice(other) != []
        assert notice(watch) == []
        watch.poll()
        assert told(watch) == told(other) == ["06:00:00 raised bank-1 lost", "06:00:01 cleared bank-1 lost"]
        assert {event.by for event in watch.board.log if isinstance(event, AlarmRaised)} == {SYSTEM}

    def test_each_raises_what_the_other_has_not(self, watch: Watch, other: Watch) -> None:
        notice(watch, LOST)
        notice(other, LOST, LOW)
        watch.poll()
        assert notice(watch, LOST, LOW) == []
        assert [one.key for one in standing(watch.board.alarms)] == ["bank-1 lost", "manifold low"]

    def test_a_race_lost_again_and_again_is_run_to_its_end(self, watch: Watch, contended: Contended) -> None:
        assert len(notice(watch, LOST)) == 1
        assert contended.races == 0
        assert told(watch) == ["06:00:00 raised bank-1 lost"]


@pytest.fixture
def full(failing: Failing) -> Failing:
    """The journal under the watch, which cannot be written to."""
    failing.full = True
    return failing


class TestNotWritable:
    def test_the_cause_stands_before_the_file_where_a_narrow_screen_cuts_off_the_end(
        self, hand: HandClock
    ) -> None:
        told = Unwritten(
            hand.now(), "/far/away/sill.journal: the disk is full, nothing was written"
        ).alarm.words
        assert told.startswith("the journal cannot be written: the disk is full")
        assert told.endswith("(/far/away/sill.journal)")

    def test_it_is_told_and_later_noted_from_when_it_began(
        self, watch: Watch, full: Failing, hand: HandClock
    ) -> None:
        began = hand.now()
        assert notice(watch, LOST) == []
        assert watch.unwritten is not None
        assert (watch.unwritten.since, watch.unwritten.alarm.priority) == (began, "high")
        assert watch.unwritten.alarm.words == "the journal cannot be written: the disk is full?"
        hand.advance(40)
        full.full = False
        notice(watch, LOST)
        assert watch.unwritten is None
        assert told(watch) == [
            f"06:00:00 raised {UNWRITTEN}",
            f"06:00:40 cleared {UNWRITTEN}",
            "06:00:40 raised bank-1 lost",
        ]

    def test_a_failing_disk_is_not_tried_at_every_tick(
        self, watch: Watch, full: Failing, hand: HandClock
    ) -> None:
        for _ in range(8):
            notice(watch, LOST)
            hand.advance(0.25)
        assert full.tried == 1
        hand.advance(AGAIN.total_seconds())
        notice(watch, LOST)
        assert full.tried == 2

    def test_an_entry_of_a_person_that_cannot_be_written_counts_too(
        self, watch: Watch, full: Failing, hand: HandClock
    ) -> None:
        with pytest.raises(StorageError):
            watch.enter(NoteMade(text="x", **watch.stamp("tam-belcourt", "timekeeper")))
        full.full = False
        hand.advance(6)
        notice(watch)
        assert told(watch) == [f"06:00:00 raised {UNWRITTEN}", f"06:00:06 cleared {UNWRITTEN}"]

    def test_two_seats_that_failed_together_note_it_once(
        self, watch: Watch, other: Watch, full: Failing, hand: HandClock
    ) -> None:
        full_too = Failing.under(other)
        full_too.full = True
        notice(watch, LOST)
        notice(other, LOST)
        full.full = full_too.full = False
        hand.moment += timedelta(seconds=10)
        for one in (watch, other):
            one.poll()
            notice(one, LOST)
            one.poll()
            notice(one, LOST)
        watch.poll()
        assert other.unwritten is None
        assert [line for line in told(watch) if "raised" in line and UNWRITTEN in line] == [
            f"06:00:00 raised {UNWRITTEN}"
        ]
