"""The board is a pure fold of the log, followed or folded anew."""

import subprocess
import sys
from collections.abc import Callable, Sequence
from functools import reduce
from typing import TYPE_CHECKING

from station.board.amend import effective
from station.board.fold import fold, follow
from station.board.state import Board
from station.events import Event
from station.setup import Setup

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
BenchOf = Callable[[Sequence[Event], str], "Bench"]


def test_following_a_dive_entry_by_entry_gives_the_board_folded_from_each_beginning_of_its_log(
    setup: Setup, log: tuple[Event, ...]
) -> None:
    board = Board(setup)
    for count, event in enumerate(log, start=1):
        board = follow(board, event)
        assert fold(setup, log[:count]) == board


def test_a_corrected_log_is_followed_as_it_is_folded(setup: Setup, bench_at: BenchAt) -> None:
    bench = bench_at("08:10:00")
    first = bench.amend(bench.find("depth.read", 1), reading_fsw=103.0)
    bench.amend(bench.find("depth.read", 1), reading_fsw=101.0)
    bench.withdraw(first)
    bench.withdraw(bench.find("voice.checked"))
    assert reduce(follow, bench.board.log, Board(setup)) == bench.board
    assert fold(setup, bench.board.log) == bench.board


def test_the_log_keeps_every_entry_as_it_was_made(bench_at: BenchAt) -> None:
    bench = bench_at("07:40:00")
    before = bench.board.log
    bench.amend(bench.find("depth.read", 1), reading_fsw=103.0)
    bench.withdraw(bench.find("voice.checked"))
    assert before == bench.board.log[: len(before)]
    assert len(before) + 2 == len(bench.board.log)


class TestReadingsEnteredLate:
    """A reading written down at 07:35 and entered after that of 07:37 stands before it."""

    def test_depth_readings_stand_in_the_order_of_their_times(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:37:30")
        bench.enter("depth.read", when="07:35:00", lane=1, reading_fsw=80.0)
        lane = bench.lane()
        assert [one.reading_fsw for one in lane.lane.readings] == [62, 105, 80, 103]
        assert lane.depth is not None
        assert (lane.depth.value, lane.depth.age_s) == (103, 30)

    def test_the_ascent_is_reckoned_from_the_reading_taken_last(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:03:30")
        bench.enter("depth.read", when="08:01:00", lane=1, reading_fsw=50.0)
        assert bench.lane().dive.departure_depth == 107

    def test_of_the_manifold_the_pressure_read_last_holds(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:43:30")
        bench.enter("supply.read", when="07:40:00", source="manifold", pressure_psig=20.0)
        assert bench.board.latest_supply["manifold"].pressure_psig == 147
        assert "manifold low" not in bench.alarms()

    def test_of_two_taken_at_once_the_one_entered_later_holds(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:43:30")
        bench.enter("supply.read", when="07:43:00", source="manifold", pressure_psig=144.0)
        assert bench.board.latest_supply["manifold"].pressure_psig == 144

    def test_a_voice_check_entered_late_does_not_outweigh_a_later_one(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:39:00")
        bench.enter("voice.checked", when="07:36:00", lane=1, good=False)
        assert "voice lost" not in bench.alarms()


def test_of_declared_depths_the_deepest_holds(setup: Setup, bench_at: BenchAt, bench_of: BenchOf) -> None:
    bench = bench_at("07:40:00")
    bench.enter("depth.declared", "sela", lane=1, depth_fsw=115.0, reason="gauge doubted")
    shallower = bench.event("depth.declared", "sela", lane=1, depth_fsw=112.0, reason="slip")
    declared = fold(setup, (*bench.board.log, shallower)).lanes[1].declared
    assert declared is not None
    assert declared.depth_fsw == 115
    assert bench_of(bench.board.log, "07:41:00").board == bench.board


def test_notes_and_incidents_stand_with_their_lane_or_with_the_station(bench_at: BenchAt) -> None:
    bench = bench_at("07:40:00")
    bench.enter("note.made", lane=1, text="silt stirred up")
    bench.enter("incident.noted", text="crane on the quay stopped")
    bench.enter("incident.noted", lane=1, text="line fouled, cleared by the diver")
    bench.enter("note.made", text="rain")
    assert [one.text for one in bench.board.lanes[1].remarks] == [
        "silt stirred up",
        "line fouled, cleared by the diver",
    ]
    assert [one.text for one in bench.board.remarks] == ["crane on the quay stopped", "rain"]


def test_nobody_who_never_joined_has_a_name_or_a_duty(fresh: "Bench") -> None:
    assert fresh.board.name("nobody") == "nobody"
    assert not fresh.board.has_role("nobody", "tender")
    assert [one.person for one in fresh.board.people("diver")] == ["joni", "oskar"]


def test_the_latest_duties_of_a_person_hold(fresh: "Bench") -> None:
    fresh.enter("crew.joined", "ivo", person="ivo", name="Ivo Brandt", roles=["timekeeper"])
    assert fresh.board.has_role("ivo", "timekeeper")
    assert not fresh.board.has_role("ivo", "tender")


def test_withdrawn_entries_leave_the_effective_list(bench_at: BenchAt) -> None:
    bench = bench_at("07:40:00")
    target = bench.find("voice.checked")
    bench.withdraw(target)
    assert target not in [event.id for event in effective(bench.board.log)]
    assert bench.board.find(target) is not None


def test_the_board_loads_neither_screen_nor_storage() -> None:
    """A pure room: looked at in a process of its own."""
    code = (
        "import sys, station.board.figures, station.board.admit\n"
        "print(sorted(set(sys.modules) & {'textual', 'rich', 'sqlite3', 'station.journal', 'station.watch'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
