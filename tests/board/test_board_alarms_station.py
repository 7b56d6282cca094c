"""Alarms of marks that are late, of a clock that was set, of an observation that runs out, and on oxygen."""

from collections.abc import Callable, Sequence
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from station.board.alarms_now import alarms_now
from station.board.figures import figures
from station.events import Event
from station.watch import SYSTEM

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
BenchOf = Callable[[Sequence[Event], str], "Bench"]
MARK = "mark.taken"


class TestOverdue:
    """A mark is told as late when more than a minute has passed since it was due: station choice."""

    @pytest.mark.parametrize(("now", "late"), [("08:06:00", False), ("08:06:00.001", True)])
    def test_the_bottom_left_later_than_planned(self, bench_at: BenchAt, now: str, *, late: bool) -> None:
        """35 min are planned from 07:30:00."""
        bench = bench_at("08:03:00").go(now)
        assert ("overdue left bottom" in bench.alarms()) is late
        if late:
            alarm = bench.alarms()["overdue left bottom"]
            assert (alarm.priority, alarm.words) == ("medium", "left bottom is overdue by 1:00")

    def test_a_delay_that_counts_is_told_with_what_it_costs_instead(self, bench_at: BenchAt) -> None:
        """The stop at 20 fsw is due at 08:06:34."""
        bench = bench_at("08:03:40").go("08:07:34")
        assert not {"overdue reached stop", "delay before the first stop 107"} & set(bench.alarms())
        found = set(bench.go("08:07:35").alarms())
        assert "overdue reached stop" not in found
        assert "delay before the first stop 107" in found

    def test_the_surface(self, bench_at: BenchAt) -> None:
        """From 20 fsw it is 40 s at 30 fsw/min."""
        bench = bench_at("08:33:34")
        assert "overdue reached surface" not in bench.go("08:35:14").alarms()
        alarm = bench.go("08:35:15").alarms()["overdue reached surface"]
        assert alarm.words == "reached surface is overdue by 1:01"


class TestClock:
    def test_a_jump_stands_until_somebody_has_taken_notice(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        bench.enter("clock.jumped", SYSTEM, by_s=-90.0)
        alarm = bench.alarms()["clock jumped 1"]
        assert (alarm.priority, alarm.lane) == ("medium", None)
        assert alarm.words.startswith(
            "the machine's clock was set by -90 s at 07:40:00; station time went on"
        )
        bench.watch.notice_alarms(bench.figures().alarms, bench.clock.now())
        bench.go("07:58:00").enter("alarm.acknowledged", "tomma", key="clock jumped 1")
        assert "clock jumped 1" not in bench.alarms()
        bench.watch.notice_alarms(bench.figures().alarms, bench.clock.now())
        assert not bench.board.alarms[None, "clock jumped 1"].standing
        bench.enter("clock.jumped", SYSTEM, by_s=90.0)
        assert [key for key in bench.alarms() if key.startswith("clock")] == ["clock jumped 2"]


class TestObservation:
    """29 CFR 1910.423(b)(2) (from memory): an hour after the surface, here from 08:34:20."""

    def test_it_is_told_before_it_ends_and_until_somebody_has_taken_notice(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00").go("09:29:19")
        assert bench.board.lanes[1].closed
        assert not bench.alarms()
        bench.go("09:29:20")
        alarm = bench.alarms()["observation ends 1"]
        assert (alarm.priority, alarm.lane) == ("low", None)
        assert alarm.words.endswith("(lane 1) ends in 5:00")
        bench.go("09:34:20")
        assert list(bench.alarms()) == ["observation over 1"]
        bench.watch.notice_alarms(bench.figures().alarms, bench.clock.now())
        bench.enter("alarm.acknowledged", key="observation over 1")
        assert not bench.alarms()

    def test_one_that_is_long_over_is_not_told(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        assert "observation over 1" in bench.go("10:34:20").alarms()
        assert not bench.go("10:34:21").alarms()

    def test_nor_one_that_was_ended(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:49:00").go("09:00:00")
        bench.enter("observation.ended", "sela", lane=1, text="to the hospital for a cut")
        assert not [key for key in bench.go("09:30:00").alarms() if "observation" in key]


def test_alarms_alone_are_those_among_the_figures(bench_of: BenchOf, log: tuple[Event, ...]) -> None:
    bench = bench_of(log, "07:00:00")
    seen = 0
    for _ in range(40):
        bench.clock.moment += timedelta(minutes=4, seconds=7)
        now = bench.clock.now()
        events = [event for event in log if event.at <= now]
        board = bench_of(events, f"{now:%H:%M:%S}").board
        found = alarms_now(board, now)
        assert found == figures(board, now).alarms
        seen += len(found)
    assert seen > 20
