"""Around the ascent on the board: dives called off, earlier dives, the chamber, cards, divers together."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from station.board.after import both_answers, trail_of_lane, wait_before
from station.board.entry_words import entry_words
from station.board.facts import live
from station.board.fold import fold
from station.dive.schedule import Schedule

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
DAY = "2031-06-03T"
BEFORE: dict[str, Any] = {
    "lane": 1,
    "surfaced": f"{DAY}05:16:00Z",
    "group": "H",
    "depth_fsw": 60.0,
    "bottom_min": 40,
    "reason": "dived at the other quay",
}


def schedule(bench: "Bench") -> str:
    found = bench.lane().dive.schedule
    return found.name if isinstance(found, Schedule) else found.reason


class TestCalledOff:
    def test_it_frees_the_diver_and_ends_the_lane(self, fresh: "Bench") -> None:
        fresh.go("06:46:00").plan()
        assert "supervisor alone" in fresh.refusal("dive.called_off", "mara", lane=1, reason="fog")
        again: dict[str, Any] = {"lane": 2, "diver": "joni", "depth_fsw": 60.0, "time_min": 9, "work": "x"}
        assert "still in lane 1" in fresh.refusal("dive.planned", "sela", **again, tenders=["ivo"])
        entry = fresh.enter("dive.called_off", "sela", lane=1, reason="fog")
        assert entry_words(fresh.board, entry.event) == "lane 1: dive called off (fog)"
        assert fresh.lane().phase == "called off"
        assert "was called off" in fresh.refusal("voice.checked", lane=1, good=True)
        fresh.plan(lane=2)

    def test_only_before_the_surface_is_left(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:30")
        assert bench.lane().faceplate_closed_s is not None
        words = bench_at("07:40:00").refusal("dive.called_off", "sela", lane=1, reason="fog")
        assert "left the surface at 07:30:00" in words
        bench.enter("dive.called_off", "sela", lane=1, reason="fog")
        assert bench.figures().supply.divers == ()


class TestEarlierDives:
    def test_residual_time_by_the_table_or_by_the_sum(self, fresh: "Bench") -> None:
        """H is G 1:30 later, 40 min at 60 fsw (Revision 7, Table 9-8); the sum is 40 min as well."""
        fresh.go("06:46:00").plan(depth_fsw=60.0, time_min=30)
        assert "stating an earlier dive by hand is for the supervisor" in fresh.refusal(
            "earlier.stated", **BEFORE
        )
        fresh.enter("earlier.stated", "sela", **BEFORE)
        assert "is stated already" in fresh.refusal("earlier.stated", "sela", **BEFORE)
        dive = fresh.lane().dive
        assert (dive.residual_min, dive.entered_min, schedule(fresh)) == (40, 70, "60/70")
        both = both_answers(fresh.board, fresh.board.lanes[1], dive)
        assert both is not None
        assert (both.by_table.equivalent_min, both.by_sum.equivalent_min, both.lighter) == (70, 70, "same")
        assert "by the table already" in fresh.refusal(
            "residual.chosen", "sela", lane=1, method="table", reason="x"
        )
        fresh.enter("residual.chosen", "sela", lane=1, method="sum", reason="x")
        assert fresh.lane().dive.residual.kind == "sum of bottom times"

    def test_the_interval_grows_while_the_diver_waits(self, fresh: "Bench") -> None:
        """H is F from 1:45 on: 35 min at 60 fsw."""
        fresh.go("06:46:00").plan(depth_fsw=60.0, time_min=30)
        fresh.enter("earlier.stated", "sela", **BEFORE)
        assert fresh.go("07:00:59").lane().dive.residual_min == 40
        assert fresh.go("07:01:00").lane().dive.residual_min == 35

    def test_a_record_may_be_named_by_anybody(self, fresh: "Bench") -> None:
        fresh.go("06:46:00").plan(depth_fsw=60.0, time_min=30)
        fresh.enter("earlier.stated", **BEFORE, record="quay-lane1.toml", record_sha256="0" * 64)
        assert "record quay-lane1.toml" in fresh.lane().dive.residual.words
        later = BEFORE | {"surfaced": f"{DAY}06:50:00Z"}
        assert "is not before this dive" in fresh.refusal("earlier.stated", "sela", **later)

    def test_a_dive_without_a_group_blocks_the_next(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:30")
        bench.enter("earlier.stated", "sela", **{**BEFORE, "group": None})
        assert bench.alarms()["no repetitive dive"].priority == "medium"
        assert "no group is printed" in bench.refusal("mark.taken", lane=1, mark="left_surface")
        decided: dict[str, Any] = {"lane": 1, "reason": "the medical officer agrees"}
        assert "blocked until" in bench.refusal("no_group.decided", "sela", **decided)

    def test_a_dive_of_this_journal_counts_by_itself(self, bench_at: BenchAt) -> None:
        """110/35 is group M; 0:41 later still M: 79 min at 60 fsw."""
        bench = bench_at("08:51:00").go("09:15:59")
        bench.plan(lane=2, depth_fsw=60.0, time_min=10)
        assert bench.lane(2).dive.residual.old_group == "M"
        assert bench.lane(2).dive.residual_min == 79
        assert bench.lane(1).interval_s == 41 * 60 + 39

    def test_the_wait_before_flying_stands_after_the_dive(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        wait = bench.lane().wait_before_flying
        assert wait is not None
        assert (wait.kind, wait.group, wait.listed_rise_ft) == ("wait", "M", 8000)
        none = wait_before(bench.board, bench.board.lanes[1], 0.0)
        assert none is not None
        assert none.kind == "no wait"
        assert bench_at("08:03:40").lane().wait_before_flying is None


class TestLadder:
    def test_it_stands_until_the_bottom_is_left(self, bench_at: BenchAt) -> None:
        """107 fsw: 110/35 is left by 08:05:00; from 107 to 20 fsw 2:54, 27 min, 0:40 to the surface."""
        ladder = bench_at("08:03:00").lane().ladder
        assert ladder is not None
        first = ladder.rungs[0]
        assert (first.schedule.name, first.left_s, first.ascent.total_s) == ("110/35", 120, 30 * 60 + 34)
        assert bench_at("08:03:40").lane().ladder is None


class TestChamber:
    @pytest.fixture
    def surfaced(self, bench_at: BenchAt) -> "Bench":
        """107 fsw to the surface 3:34: 08:07:14; no stop at 40 fsw, so the interval begins at 08:06:14."""
        bench = bench_at("08:03:40").go("08:04:00")
        bench.enter("gas.chosen", "sela", lane=1, gas="surface_oxygen", reason="swell")
        assert bench.lane().dive.stops == ()
        bench.go("08:07:14").enter("mark.taken", lane=1, mark="reached_surface")
        return bench

    def test_the_interval_begins_by_itself_and_has_two_limits(self, surfaced: "Bench") -> None:
        chamber = surfaced.lane().chamber
        assert chamber is not None
        assert chamber.interval is not None
        assert (chamber.interval.elapsed_s, chamber.interval.left_of_5_s) == (60, 240)
        assert "surface interval soon" not in surfaced.go("08:10:13").alarms()
        assert surfaced.go("08:10:14").alarms()["surface interval soon"].priority == "high"
        assert "surface interval" not in surfaced.go("08:11:14").alarms()
        assert "over 5:00" in surfaced.go("08:11:15").alarms()["surface interval"].words
        assert "treatment table 5" in surfaced.go("08:13:15").alarms()["surface interval"].words

    def test_marks_go_in_their_order(self, surfaced: "Bench") -> None:
        """110/35: one period, 15 min at 50 fsw and 15 at 40."""
        assert "cannot be taken now" in surfaced.refusal("chamber.marked", lane=1, mark="on_chamber_oxygen")
        fields: dict[str, Any] = {"lane": 1, "mark": "reached_chamber_depth", "depth_fsw": 50}
        surfaced.go("08:10:00").enter("chamber.marked", **fields)
        surfaced.go("08:10:30").enter("chamber.marked", lane=1, mark="on_chamber_oxygen")
        chamber = surfaced.go("08:15:30").lane().chamber
        assert chamber is not None
        assert (chamber.phase, chamber.served_s, chamber.left_s) == ("on oxygen", 300, 1500)

    def test_not_without_a_decision(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:04:00")
        words = bench.refusal("chamber.marked", lane=1, mark="left_for_chamber")
        assert "was not chosen" in words


class TestCards:
    def test_a_card_runs_its_clocks_until_it_is_closed(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        assert "there is no card 'fog'" in bench.refusal("card.opened", lane=1, card="fog")
        assert "is not open" in bench.refusal("card.decided", lane=1, card="fouled-diver", text="cut")
        bench.enter("card.opened", lane=1, card="fouled-diver")
        assert "is open already" in bench.refusal("card.opened", lane=1, card="fouled-diver")
        bench.go("07:41:00").enter("card.decided", "sela", lane=1, card="fouled-diver", text="standby goes")
        (card,) = bench.go("07:42:30").lane().cards
        assert card.clocks[0].elapsed_s == 150
        assert [one.text for one in card.decided] == ["standby goes"]
        closing: dict[str, Any] = {"lane": 1, "card": "fouled-diver", "text": "free"}
        assert "supervisor alone" in bench.refusal("card.closed", "mara", **closing)
        bench.enter("card.closed", "sela", **closing)
        assert bench.lane().cards == ()

    def test_a_limit_that_has_passed_is_an_alarm(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:34:20")
        bench.enter("card.opened", lane=1, card="omitted-decompression")
        assert not [key for key in bench.go("08:35:20").alarms() if key.startswith("card")]
        assert [key for key in bench.go("08:35:21").alarms() if key.startswith("card omitted")]


class TestTogether:
    def test_who_and_when(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        together: dict[str, Any] = {"lanes": [1, 2]}
        assert "there is no lane 2" in bench.refusal("divers.together", "sela", **together)
        bench.plan(lane=2, diver="oskar", tenders=["mara"])
        assert "supervisor alone" in bench.refusal("divers.together", "mara", **together)
        assert "named twice" in bench.refusal("divers.together", "sela", lanes=[1, 1])
        assert "does not ascend together" in bench.refusal("divers.apart", "sela", **together, reason="x")
        bench.enter("divers.together", "sela", **together)
        assert bench.lane(1).dive.leads == ""
        bench.enter("divers.apart", "sela", **together, reason="oskar stays on deck")
        assert len(bench.board.lanes[1].company) == 2


def test_company_crossed_by_late_entries_comes_to_an_end(fresh: "Bench") -> None:
    """Lanes 1 and 4 are one diver's, 2 and 3 another's: 1 with 3 and 2 with 4 can only be an error."""
    events = list(fresh.board.log)
    for lane, diver in ((1, "joni"), (2, "oskar"), (3, "oskar"), (4, "joni")):
        plan: dict[str, Any] = {"depth_fsw": 60.0, "time_min": 20, "tenders": ["mara"], "work": "x"}
        events.append(fresh.event("dive.planned", "sela", lane=lane, diver=diver, **plan))
        marks = (("left_surface", "06:50:00"), ("left_bottom", "07:00:00"), ("reached_surface", "07:02:00"))
        events += [fresh.event("mark.taken", when=when, lane=lane, mark=name) for name, when in marks]
    events += [fresh.event("divers.together", "sela", lanes=lanes) for lanes in ([1, 3], [2, 4])]
    board = fold(fresh.board.setup, events)
    told = [live(board, lane, fresh.clock.now()).residual for lane in board.lanes.values()]
    assert [one.kind for one in told] == ["single", "single", "blocked", "blocked"]
    assert "correct the times" in told[2].words


def test_a_delay_that_runs_is_an_alarm_and_a_line_of_the_trail(bench_at: BenchAt) -> None:
    bench = bench_at("08:03:40").go("08:07:34.001")
    alarm = bench.alarms()["delay before the first stop 107"]
    assert alarm.priority == "medium"
    assert "1:01 late, counts as 2 min" in alarm.words
    lines = trail_of_lane(bench.board, bench.board.lanes[1], bench.clock.now())
    assert lines[-1].rule == "delay before the first stop"
