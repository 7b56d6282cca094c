"""The way up on the board: holds, delays, the gas chosen, oxygen marks and the alarms of travel."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from station.board.facts import dive_facts
from station.dive.trail import trail

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
MARK = "mark.taken"
"""The dive of the bench: 110/35, 20 fsw 27 min on air, left the bottom at 08:03:40, 2:54 from 107 to 20 fsw.

On air and oxygen it is 20 fsw 14 min (U.S. Navy Diving Manual, Revision 7, Table 9-9).
"""


def test_where_a_diver_is_held_is_asked_and_answered(bench_at: BenchAt) -> None:
    """Due at 20 fsw at 08:06:34; a minute later nobody has said where the diver is."""
    bench = bench_at("08:03:40").go("08:07:34")
    assert "late" not in bench.alarms()
    late = bench.go("08:07:34.001").alarms()["late"]
    assert (late.priority, late.words) == (
        "medium",
        "late to the first stop: ask where the diver is held, and mark it",
    )
    dive = bench.lane().dive
    assert (dive.delay_min, dive.entered_min) == (2, 36)
    bench.enter(MARK, lane=1, mark="held", depth_fsw=70.0)
    assert "late" not in bench.alarms()
    assert "names the depth where the diver is" in bench.refusal(MARK, lane=1, mark="moving")
    assert "is held already" in bench.refusal(MARK, lane=1, mark="held", depth_fsw=70.0)
    assert "at 70 fsw or shallower" in bench.refusal(MARK, lane=1, mark="moving", depth_fsw=71.0)
    bench.go("08:08:30").enter(MARK, lane=1, mark="moving", depth_fsw=70.0)
    assert "for a diver on the way up" in bench.refusal(MARK, lane=1, mark="moving", depth_fsw=70.0)
    bench.go("08:10:10").enter(MARK, lane=1, mark="reached_stop", depth_fsw=20.0)
    assert bench.lane().dive.entered_min == 34 + 4


def test_a_stop_that_is_served_is_told_from_its_last_second_until_it_is_left(bench_at: BenchAt) -> None:
    """27 min at 20 fsw from 08:06:34."""
    bench = bench_at("08:03:40").go("08:06:34")
    bench.enter(MARK, lane=1, mark="reached_stop", depth_fsw=20.0)
    assert "stop served 20" not in bench.go("08:33:33.999").alarms()
    due = bench.go("08:33:34").alarms()["stop served 20"]
    assert (due.priority, due.words) == ("low", "stop 20 fsw is served: leave it")
    bench.go("08:33:40").enter(MARK, lane=1, mark="left_stop", depth_fsw=20.0)
    assert "stop served 20" not in bench.alarms()


def test_a_hold_is_for_the_way_up_only(bench_at: BenchAt) -> None:
    bench = bench_at("08:03:00").go("08:03:10")
    assert "for a diver on the way up" in bench.refusal(MARK, lane=1, mark="held", depth_fsw=70.0)


def test_the_supervisor_chooses_the_gas_before_the_first_oxygen_stop(bench_at: BenchAt) -> None:
    chosen: dict[str, Any] = {"lane": 1, "gas": "air_oxygen", "reason": "long stop"}
    bench = bench_at("08:03:40").go("08:05:00")
    assert "supervisor alone" in bench.refusal("gas.chosen", "mara", **chosen)
    assert "air already" in bench.refusal("gas.chosen", "sela", **(chosen | {"gas": "air"}))
    bench.enter("gas.chosen", "sela", **chosen)
    dive = bench.lane().dive
    assert (dive.gas, [(line.depth, line.minutes) for line in dive.stops]) == ("air_oxygen", [(20, 14)])
    bench.go("08:06:34").enter(MARK, lane=1, mark="reached_stop", depth_fsw=20.0)
    assert "has reached it" in bench.refusal("gas.chosen", "sela", **(chosen | {"gas": "air"}))
    bench.go("08:07:30").enter(MARK, lane=1, mark="on_oxygen")
    served = bench.go("08:10:00").lane().dive.oxygen
    assert served is not None
    assert (served.state, served.served_s, served.remaining_s) == ("on oxygen", 150, 690)
    bench.enter(MARK, lane=1, mark="oxygen_lost")
    found = trail(bench.board.setup.tables, dive_facts(bench.board, bench.board.lanes[1]), bench.clock.now())
    assert [line.rule for line in found][-2:] == ["gas chosen", "oxygen lost"]


def test_too_fast_is_told_while_the_travel_lasts(bench_at: BenchAt) -> None:
    bench = bench_at("08:03:40").go("08:04:40")
    bench.enter("depth.read", lane=1, reading_fsw=50.0)
    alarm = bench.alarms()["ascent too fast"]
    assert (alarm.priority, alarm.words) == ("medium", "ascent too fast: 56 fsw/min so far, limit 40")
    down = bench_at("07:30:00").go("07:31:00")
    down.enter("depth.read", lane=1, reading_fsw=90.0)
    alarm = down.alarms()["descent too fast"]
    assert (alarm.priority, alarm.words) == ("low", "descent too fast: 91 fsw/min so far, limit 75")
