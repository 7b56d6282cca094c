"""The one door: durable before visible, checked again after a race, followed by every seat."""

from collections.abc import Sequence
from datetime import timedelta

import pytest

from station.board.fold import fold
from station.clock import HandClock
from station.errors import HeadMoved, Refusal, StorageError
from station.events import ClockJumped, DivePlanned, NoteMade
from station.journal.interface import Entry
from station.watch import Watch
from tests.watch.conftest import Contended, Failing


def note(watch: Watch, text: str) -> NoteMade:
    return NoteMade(text=text, **watch.stamp("tam-belcourt", "timekeeper"))


def plan(watch: Watch, diver: str) -> DivePlanned:
    stamp = watch.stamp("ines-oyelaran", "supervisor")
    return DivePlanned(
        lane=1, diver=diver, tenders=("rua-kessing",), depth_fsw=60.0, time_min=30, work="survey", **stamp
    )


class TestEntering:
    def test_an_entry_is_on_the_journal_when_a_listener_hears_of_it(self, watch: Watch) -> None:
        heard: list[tuple[int, int, bool]] = []

        def listener(entries: Sequence[Entry]) -> None:
            last = entries[-1]
            heard.append((len(entries), last.seq, watch.journal.head() == (last.seq, last.hash)))
            assert watch.board.log[-1] == last.event

        watch.listen(listener)
        head = watch.head
        watch.enter(note(watch, "first"))
        assert heard == [(1, head + 1, True)]

    def test_what_cannot_be_written_is_not_shown(self, watch: Watch, failing: Failing) -> None:
        heard: list[Sequence[Entry]] = []
        watch.listen(heard.append)
        board, entries = watch.board, list(watch.entries)
        event = note(watch, "lost?")
        failing.full = True
        with pytest.raises(StorageError):
            watch.enter(event)
        assert (watch.board, watch.entries, heard) == (board, entries, [])
        failing.full = False
        watch.enter(event)
        assert watch.board.log[-1] == event

    def test_a_refusal_reaches_neither_journal_nor_listener(self, watch: Watch) -> None:
        heard: list[Sequence[Entry]] = []
        watch.listen(heard.append)
        head = watch.journal.head()
        with pytest.raises(Refusal):
            watch.enter(note(watch, "x").model_copy(update={"by": "stranger"}))
        assert (watch.journal.head(), heard) == (head, [])

    def test_the_time_of_the_key_press_and_of_the_entry_are_both_kept(
        self, watch: Watch, hand: HandClock
    ) -> None:
        pressed = hand.now()
        hand.advance(4)
        event = NoteMade(text="x", **watch.stamp("tam-belcourt", "timekeeper", at=pressed))
        assert (event.at, event.entered - event.at) == (pressed, timedelta(seconds=4))


class TestTwoSeats:
    def test_each_follows_the_other(self, watch: Watch, other: Watch) -> None:
        heard: list[Sequence[Entry]] = []
        other.listen(heard.append)
        watch.enter(note(watch, "one"))
        watch.enter(note(watch, "two"))
        assert [entry.seq for entry in other.poll()] == [watch.head - 1, watch.head]
        assert other.board == watch.board
        assert [len(batch) for batch in heard] == [2]
        assert other.poll() == []
        assert len(heard) == 1

    def test_the_loser_of_a_race_is_checked_against_the_newer_board(self, watch: Watch, other: Watch) -> None:
        mine, theirs = plan(watch, "jona-strand"), plan(other, "wyn-farrow")
        watch.enter(mine)
        with pytest.raises(Refusal, match="the next lane is 2, not 1"):
            other.enter(theirs)
        assert other.board == watch.board
        assert other.board.lanes[1].plan == mine

    def test_the_loser_of_a_race_is_entered_behind_when_nothing_speaks_against_it(
        self, watch: Watch, other: Watch
    ) -> None:
        watch.enter(note(watch, "one"))
        entry = other.enter(note(other, "two"))
        watch.poll()
        assert entry.seq == watch.head
        assert [getattr(event, "text", "") for event in watch.board.log[-2:]] == ["one", "two"]
        assert other.board == watch.board == fold(watch.board.setup, watch.board.log)

    def test_a_lost_race_is_run_again_however_often_it_is_lost(
        self, watch: Watch, contended: Contended
    ) -> None:
        head = watch.head
        with pytest.raises(HeadMoved):
            watch.journal.append(note(watch, "lost"), head)
        assert watch.enter(note(watch, "mine")).seq == head + 4
        assert contended.races == 0


class TestWallClock:
    def jumps(self, watch: Watch) -> list[float]:
        return [event.by_s for event in watch.board.log if isinstance(event, ClockJumped)]

    def test_each_jump_is_entered_once(self, watch: Watch, hand: HandClock) -> None:
        assert watch.notice_clock() is None
        hand.wall_offset = timedelta(hours=1)
        entry = watch.notice_clock()
        assert entry is not None
        assert watch.notice_clock() is None
        hand.wall_offset = timedelta(0)
        watch.notice_clock()
        assert self.jumps(watch) == [3600, -3600]

    def test_once_for_all_seats_of_a_machine(self, watch: Watch, other: Watch, hand: HandClock) -> None:
        hand.wall_offset = timedelta(seconds=-90)
        watch.notice_clock()
        hand.advance(1)
        assert other.notice_clock() is None
        assert other.notice_clock() is None
        watch.poll()
        assert self.jumps(watch) == self.jumps(other) == [-90]

    def test_less_than_a_second_is_no_jump(self, watch: Watch, hand: HandClock) -> None:
        hand.wall_offset = timedelta(milliseconds=999)
        assert watch.notice_clock() is None

    def test_a_jump_that_cannot_be_written_is_kept(
        self, watch: Watch, failing: Failing, hand: HandClock
    ) -> None:
        hand.wall_offset = timedelta(hours=1)
        failing.full = True
        for _ in range(2):
            with pytest.raises(StorageError):
                watch.notice_clock()
        failing.full = False
        watch.notice_clock()
        assert self.jumps(watch) == [3600]
