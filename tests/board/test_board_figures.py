"""Every phase of a dive at chosen moments: what the lane shows large, what comes next, how old readings are.

The dive is that of `conftest.DIVE`: 107 fsw, 33:40, row 110/35, 20 fsw for 27 min (U.S. Navy Diving Manual,
Revision 7, Table 9-9); ascent at 30 fsw/min, so 2:54 to the stop and 0:40 from it to the surface.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from station.board.air_ways import present_depth_fsw
from station.board.figures import BigClock
from station.board.fold import fold
from station.moments import age_s
from station.setup import Setup

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
MARK = "mark.taken"


def clock(caption: str, minutes_seconds: str, *, down: bool = False) -> BigClock:
    minutes, seconds = minutes_seconds.split(":")
    return BigClock(caption, int(minutes) * 60 + int(seconds), down)


@pytest.mark.parametrize(
    ("now", "phase", "shown", "following"),
    [
        ("07:10:00", "dressing", clock("SINCE PLANNED", "24:00"), ("left_surface", None)),
        ("07:29:00", "ready", clock("SINCE PLANNED", "43:00"), ("left_surface", None)),
        ("07:30:00", "descent", clock("BOTTOM TIME", "0:00"), ("reached_bottom", None)),
        ("07:32:09.999", "descent", clock("BOTTOM TIME", "2:09"), ("reached_bottom", None)),
        ("07:32:10", "bottom", clock("BOTTOM TIME", "2:10"), ("left_bottom", None)),
        ("08:03:39.500", "bottom", clock("BOTTOM TIME", "33:39"), ("left_bottom", None)),
        ("08:03:40", "ascent", clock("NEXT MARK DUE IN", "2:54", down=True), ("reached_stop", 20)),
        ("08:06:33.001", "ascent", clock("NEXT MARK DUE IN", "0:01", down=True), ("reached_stop", 20)),
        ("08:06:34", "stop", clock("STOP TIME LEFT", "27:00", down=True), ("left_stop", 20)),
        ("08:33:33.001", "stop", clock("STOP TIME LEFT", "0:01", down=True), ("left_stop", 20)),
        ("08:33:34", "ascent", clock("NEXT MARK DUE IN", "0:40", down=True), ("reached_surface", None)),
        ("08:34:15.900", "ascent", clock("OVERDUE BY", "0:01"), ("reached_surface", None)),
        ("08:34:20", "undressing", clock("SINCE SURFACED", "0:00"), None),
        ("08:45:00", "to close", clock("SINCE SURFACED", "10:40"), None),
        ("08:51:00", "closed", clock("SINCE SURFACED", "16:40"), None),
    ],
)
def test_each_phase(
    bench_at: BenchAt, now: str, phase: str, shown: BigClock, following: tuple[str, float | None] | None
) -> None:
    lane = bench_at(now).lane()
    assert (lane.phase, lane.clock) == (phase, shown)
    expected = lane.dive.next_mark and (lane.dive.next_mark.name, lane.dive.next_mark.depth)
    assert expected == following


class TestBigClock:
    def test_a_next_mark_that_does_not_come_is_overdue(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:06:33").go("08:06:34")
        assert bench.lane().clock == clock("NEXT MARK DUE IN", "0:00", down=True)
        assert bench.go("08:07:04.900").lane().clock == clock("OVERDUE BY", "0:30")

    def test_a_diver_early_at_a_stop_waits_for_its_beginning(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:05:00").go("08:06:00")
        bench.enter(MARK, lane=1, mark="reached_stop", depth_fsw=20.0)
        assert bench.lane().clock == clock("EARLY: STOP BEGINS IN", "0:34", down=True)
        assert bench.go("08:06:33.500").lane().clock == clock("EARLY: STOP BEGINS IN", "0:01", down=True)
        assert bench.go("08:06:34").lane().clock == clock("STOP TIME LEFT", "27:00", down=True)

    def test_a_stop_never_counts_as_served_before_it_is(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:33:33").go("08:33:33.999")
        assert bench.lane().clock == clock("STOP TIME LEFT", "0:01", down=True)
        assert bench.go("08:33:34").lane().clock == clock("STOP SERVED, OVER BY", "0:00")
        assert bench.go("08:33:39.900").lane().clock == clock("STOP SERVED, OVER BY", "0:05")

    def test_without_a_schedule_the_time_since_leaving_the_bottom_shows(self, bench_at: BenchAt) -> None:
        """360 fsw is deeper than the deepest listed depth: no schedule, so no stop and nothing due."""
        bench = bench_at("08:03:30")
        bench.enter("depth.read", lane=1, reading_fsw=360.0)
        assert bench.lane().clock.caption == "BOTTOM TIME"
        bench.go("08:04:00").enter(MARK, lane=1, mark="left_bottom")
        assert bench.go("08:05:10").lane().clock == clock("SINCE LEFT BOTTOM", "1:10")
        bench.enter(MARK, lane=1, mark="reached_stop", depth_fsw=40.0)
        assert bench.go("08:09:10").lane().clock == clock("AT A STOP, NO SCHEDULE", "4:00")

    def test_a_moment_before_the_last_mark_counts_as_the_mark(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:30:00").go("07:29:59.500")
        assert bench.lane().clock == clock("BOTTOM TIME", "0:00")
        assert bench.go("07:29:00").lane().dive.bottom_min == 0

    def test_a_dive_broken_off_on_the_way_down_ends_at_the_surface(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:31:30")
        bench.enter(MARK, lane=1, mark="reached_surface")
        assert (bench.lane().phase, bench.lane().clock) == ("undressing", clock("SINCE SURFACED", "0:00"))


class TestAges:
    """Ages are rounded up: what is old is never shown as younger."""

    @pytest.mark.parametrize(
        ("now", "age"), [("07:32:30", 0), ("07:32:30.001", 1), ("07:33:30", 60), ("07:33:30.500", 61)]
    )
    def test_of_a_depth_reading(self, bench_at: BenchAt, now: str, age: int) -> None:
        depth = bench_at(now).lane().depth
        assert depth is not None
        assert (depth.value, depth.corrected, depth.age_s) == (105, 107, age)

    def test_of_a_voice_check_and_of_the_faceplate(self, bench_at: BenchAt) -> None:
        lane = bench_at("07:29:00").lane()
        closed = lane.lane.progress.done["faceplate-closed"].at
        assert lane.faceplate_closed_s == age_s(closed, bench_at("07:29:00").clock.now())
        lane = bench_at("07:33:00.500").lane()
        assert (lane.voice_age_s, lane.faceplate_closed_s) == (1, None)

    def test_nothing_read_has_no_age(self, bench_at: BenchAt) -> None:
        lane = bench_at("07:10:00").lane()
        assert (lane.depth, lane.voice_age_s, lane.faceplate_closed_s) == (None, None, None)

    def test_a_reading_of_another_seat_an_instant_ahead_is_new(self, bench_at: BenchAt) -> None:
        depth = bench_at("07:32:30").go("07:32:29.500").lane().depth
        assert depth is not None
        assert depth.age_s == 0


class TestSupply:
    def test_the_diver_counts_from_the_faceplate_to_undressing(self, bench_at: BenchAt) -> None:
        counts = {
            now: [(one.lane, one.depth_fsw) for one in bench_at(now).figures().supply.divers]
            for now in ("07:26:10", "07:29:00", "07:30:30", "07:40:00", "08:20:00", "08:34:30", "08:35:10")
        }
        assert counts == {
            "07:26:10": [],
            "07:29:00": [(1, 110)],
            "07:30:30": [(1, 110)],
            "07:40:00": [(1, 105)],
            "08:20:00": [(1, 20)],
            "08:34:30": [(1, 0)],
            "08:35:10": [],
        }

    def test_two_divers_are_both_charged(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        alone = bench.figures().supply.demand_scfm
        bench.plan(lane=2, diver="oskar", depth_fsw=60.0, tenders=["mara"])
        bench.dress(2, until="air-on")
        bench.enter("supply.read", source="manifold", pressure_psig=150.0)
        bench.dress(2)
        both = bench.figures().supply
        assert [one.lane for one in both.divers] == [1, 2]
        assert both.demand_scfm > alone


def test_tables_in_metres_correct_the_reading_in_metres(setup: Setup, bench_at: BenchAt) -> None:
    """A reading is kept in fsw, corrected in the unit of the tables, and shown in fsw again."""
    printed = setup.tables.file.pneumofathometer
    assert printed is not None
    ten_more = printed.model_copy(update={"rows": (printed.rows[-1].model_copy(update={"add": 10}),)})
    file = setup.tables.file.model_copy(update={"depth_unit": "msw", "pneumofathometer": ten_more})
    tables = replace(setup.tables, file=file)
    bench = bench_at("07:33:00")
    board = fold(replace(setup, tables=tables), bench.board.log)
    assert tables.unit == "msw"
    assert present_depth_fsw(board, board.lanes[1]) == pytest.approx(105 + 10 * 33 / 10.1325)


def test_two_lanes_of_one_diver_stand_side_by_side(bench_at: BenchAt) -> None:
    bench = bench_at("08:51:00")
    bench.plan(lane=2, depth_fsw=40.0, time_min=20)
    bench.dress(2, until="air-on")
    bench.enter("supply.read", source="manifold", pressure_psig=150.0)
    bench.dress(2)
    bench.enter(MARK, lane=2, mark="left_surface")
    first, second = bench.figures().lanes
    assert (first.phase, second.phase) == ("closed", "descent")
    assert second.depth is None
    assert first.depth is not None
    bench.enter("depth.read", lane=2, reading_fsw=30.0)
    assert bench.lane(1).depth == first.depth
    assert bench.lane(2).dive.depth.depth == 31


def test_the_planned_depth_is_no_reading(bench_at: BenchAt) -> None:
    lane = bench_at("07:30:30").lane()
    assert (lane.dive.depth.origin, lane.dive.depth.depth, lane.depth) == ("planned", 110, None)


def test_figures_before_any_lane(fresh: "Bench") -> None:
    shown: Any = fresh.figures()
    assert (shown.lanes, shown.alarms, shown.supply.divers) == ((), (), ())
