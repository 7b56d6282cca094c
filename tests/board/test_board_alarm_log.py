"""Alarms on the journal: raised, acknowledged, cleared, returned; fold and rules."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.board.alarm_log import changes
from station.board.alarm_states import AlarmState, standing
from station.board.alarms import Alarm
from station.board.entry_words import entry_words
from station.board.fold import fold, follow
from station.board.rules_alarms import RANKS
from station.board.state import Board
from station.clock import HandClock
from station.events import AlarmAcknowledged, AlarmCleared, AlarmRaised, Event, Priority, stamp
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.setup import Setup
from station.watch import SYSTEM, Watch

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
AT = datetime(2031, 6, 3, 6, 0, tzinfo=UTC)
KEY = "depth silent"


def raised(bench: "Bench", priority: Priority = "medium", lane: int | None = 1, key: str = KEY) -> Event:
    return bench.enter(
        "alarm.raised", SYSTEM, lane=lane, key=key, priority=priority, words="depth not read for 5:01"
    ).event


def state(bench: "Bench", lane: int | None = 1, key: str = KEY) -> AlarmState:
    return bench.board.alarms[lane, key]


class TestOneAlarm:
    def test_raised_acknowledged_cleared_returned(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        raised(bench)
        one = state(bench)
        assert (f"{one.raised_at:%H:%M:%S}", one.priority, one.times) == ("07:40:00", "medium", 1)
        assert (one.acknowledged, one.standing) == (None, True)
        bench.go("07:40:10").enter("alarm.acknowledged", "tomma", lane=1, key=KEY)
        said = state(bench).acknowledged
        assert said is not None
        assert (said.by, f"{said.at:%H:%M:%S}", state(bench).standing) == ("tomma", "07:40:10", True)
        bench.go("07:41:00").enter("alarm.cleared", SYSTEM, lane=1, key=KEY)
        assert (f"{state(bench).cleared_at:%H:%M:%S}", state(bench).standing) == ("07:41:00", False)
        bench.go("07:46:02")
        raised(bench)
        again = state(bench)
        assert (again.times, again.acknowledged, again.standing) == (2, None, True)

    def test_a_rise_in_priority_wants_notice_taken_anew(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        raised(bench)
        bench.enter("alarm.acknowledged", lane=1, key=KEY)
        raised(bench, "high")
        assert (state(bench).priority, state(bench).acknowledged) == ("high", None)

    def test_what_stands_is_not_raised_again(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        raised(bench)
        again: dict[str, Any] = {"lane": 1, "key": KEY, "words": "x"}
        for priority in ("medium", "low"):
            why = bench.refusal("alarm.raised", SYSTEM, priority=priority, **again)
            assert why == "the alarm 'depth silent' stands already, as medium"

    def test_what_does_not_stand_is_neither_cleared_nor_acknowledged(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        assert "does not stand" in bench.refusal("alarm.cleared", SYSTEM, lane=1, key=KEY)
        assert "does not stand any more" in bench.refusal("alarm.acknowledged", lane=1, key=KEY)
        raised(bench)
        assert "does not stand" in bench.refusal("alarm.cleared", SYSTEM, key=KEY)
        bench.enter("alarm.acknowledged", "mara", lane=1, key=KEY)
        why = bench.refusal("alarm.acknowledged", lane=1, key=KEY)
        assert why.startswith("the alarm is acknowledged already, by ")

    def test_by_whoever_has_a_duty_on_deck(self, bench_at: BenchAt) -> None:
        for by in ("sela", "tomma", "mara"):  # supervisor, timekeeper, tender
            bench = bench_at("07:40:00")
            raised(bench)
            bench.enter("alarm.acknowledged", by, lane=1, key=KEY)
        bench = bench_at("07:40:00")
        raised(bench)
        why = bench.refusal("alarm.acknowledged", "joni", lane=1, key=KEY)
        assert why.startswith("an alarm is acknowledged by a supervisor, timekeeper or tender; ")
        assert "nobody with the id" in bench.refusal("alarm.acknowledged", "stranger", lane=1, key=KEY)

    def test_in_words(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        raised(bench)
        bench.enter("alarm.acknowledged", lane=1, key=KEY)
        bench.enter("alarm.cleared", SYSTEM, lane=1, key=KEY)
        assert [entry_words(bench.board, one) for one in bench.board.log[-3:]] == [
            "lane 1: ALARM MEDIUM 'depth silent': depth not read for 5:01",
            "lane 1: alarm 'depth silent' acknowledged",
            "lane 1: alarm 'depth silent' cleared",
        ]


class TestLanes:
    def test_closing_a_lane_ends_its_alarms_and_those_of_the_station_go_on(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:49:00")
        raised(bench)
        raised(bench, lane=None, key="bank-1 lost")
        bench.go("08:50:00").enter("dive.closed", "sela", lane=1, condition_after="well")
        assert f"{state(bench).cleared_at:%H:%M:%S}" == "08:50:00"
        assert state(bench, None, "bank-1 lost").standing
        for kind, more in (("alarm.raised", {"priority": "high", "words": "x"}), ("alarm.cleared", {})):
            assert "lane 1 is closed" in bench.refusal(kind, SYSTEM, lane=1, key=KEY, **more)
        assert "lane 1 is closed" in bench.refusal("alarm.acknowledged", lane=1, key=KEY)

    def test_a_closing_withdrawn_lets_them_stand_again(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:49:00")
        raised(bench)
        bench.go("08:50:00").enter("dive.closed", "sela", lane=1, condition_after="well")
        bench.withdraw(bench.find("dive.closed"))
        assert state(bench).standing

    def test_none_is_raised_in_a_lane_that_is_not_there(self, fresh: "Bench") -> None:
        fields: dict[str, Any] = {"lane": 1, "key": KEY, "priority": "low", "words": "x"}
        assert "there is no lane 1" in fresh.refusal("alarm.raised", SYSTEM, **fields)

    def test_a_plan_is_withdrawn_whatever_was_raised_in_its_lane(self, fresh: "Bench") -> None:
        fresh.plan()
        raised(fresh)
        fresh.enter("alarm.acknowledged", lane=1, key=KEY)
        fresh.withdraw(fresh.find("dive.planned"))
        assert fresh.board.lanes == {}
        fresh.enter("alarm.cleared", SYSTEM, lane=1, key=KEY)
        assert not state(fresh).standing

    def test_nobody_corrects_what_the_console_saw(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        target = raised(bench).id
        assert bench.not_withdrawn(target) == "an entry of the kind alarm.raised stays as it is"
        assert bench.not_amended(target, words="y") == "an entry of the kind alarm.raised stays as it is"


class TestChanges:
    def test_a_fall_is_cleared_and_raised_at_the_lower_priority(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        raised(bench, "high")
        lower = Alarm("medium", KEY, "x", 1)
        found = changes(bench.board, [lower], bench.clock.now())
        assert (found.cleared, found.raised) == (((1, KEY),), (lower,))

    def test_what_was_raised_later_elsewhere_is_not_judged(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        raised(bench)
        now = bench.clock.now()
        assert changes(bench.board, [], now - timedelta(seconds=1)).cleared == ()
        assert changes(bench.board, [], now).cleared == ((1, KEY),)

    def test_of_two_of_one_name_the_more_urgent_counts(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        two = [Alarm("low", KEY, "a", 1), Alarm("high", KEY, "b", 1), Alarm("medium", KEY, "c", 1)]
        assert [one.words for one in changes(bench.board, two, bench.clock.now()).raised] == ["b"]

    def test_nothing_of_a_closed_lane_or_of_none(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        found = changes(
            bench.board, [Alarm("low", KEY, "a", 1), Alarm("low", KEY, "a", 2)], bench.clock.now()
        )
        assert (found.cleared, found.raised) == ((), ())


KEYS = ("a", "b", "c")
SETS = st.lists(
    st.tuples(
        st.dictionaries(st.sampled_from(KEYS), st.sampled_from(("high", "medium", "low"))),
        st.sampled_from((None, *KEYS)),  # acknowledged after it, if it stands and is not yet
    ),
    max_size=12,
)


@given(SETS)
def test_the_fold_is_what_stands_and_no_raise_is_idle(
    setup: Setup, steps: list[tuple[dict[str, Priority], str | None]]
) -> None:
    """A watch notes a random sequence of standing alarms on one journal."""
    clock, journal = HandClock(AT), MemoryJournal()
    watch = begin_on(journal, setup, clock, title="t", program="test", drill=False)
    acknowledged: set[str] = set()
    before: dict[str, Priority] = {}
    for wanted, said in steps:
        clock.advance(1)
        alarms = [Alarm(priority, key, key) for key, priority in wanted.items()]
        watch.notice_alarms(alarms, clock.now())
        assert watch.notice_alarms(alarms, clock.now()) == []
        stand = {one.key: one.priority for one in standing(watch.board.alarms)}
        assert stand == wanted
        acknowledged &= {key for key in wanted if before.get(key) == wanted[key]}
        assert {one.key for one in standing(watch.board.alarms) if one.acknowledged} == acknowledged
        if said in wanted and said not in acknowledged:
            event = AlarmAcknowledged(key=said, **watch.stamp("sela", "supervisor"))
            watch.enter(event)
            acknowledged.add(said)
        before = dict(wanted)
    no_idle_raise(watch)


def no_idle_raise(watch: Watch) -> None:
    board: Board = fold(watch.board.setup, [])
    for event in watch.board.log:
        known = board.alarms.get((None, event.key)) if isinstance(event, AlarmRaised | AlarmCleared) else None
        if isinstance(event, AlarmRaised) and known is not None and known.standing:
            assert RANKS[event.priority] > RANKS[known.priority]
        if isinstance(event, AlarmCleared):
            assert known is not None
            assert known.standing
        board = follow(board, event)
    assert board.alarms == watch.board.alarms


def test_a_key_is_one_line() -> None:
    with pytest.raises(ValueError, match="key"):
        AlarmCleared(key="two\nlines", **stamp(AT, SYSTEM, "console"))
