"""The air on the board: sums for everyone's way home, turn times, alarms, the ladder's column, by the minute.

Sums by hand: 6 acfm a head, diver and standby (U.S. Navy Diving Manual Revision 4, 7-4.1, 8-18); at 107 fsw
6 x (107 + 33) / 33 = 25.4545 scfm, at 20 fsw 9.6364, at the average of 63.5 fsw on the way 17.5455, at 10 fsw
7.8182.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from station.board.air import air_now, minute_end
from station.board.air_figures import coverage_words, question
from station.board.air_ladder import ladder_air
from station.board.air_ways import present_depth_fsw

if TYPE_CHECKING:
    from station.board.air_figures import AirFigures
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
MARK = "mark.taken"


def air(bench: "Bench") -> "AirFigures":
    return bench.figures().air


class TestLeavingNow:
    def test_by_hand_on_the_bottom(self, bench_at: BenchAt) -> None:
        """At 08:03:00, 33 min: row 110/35, 20 fsw for 27 min (Rev 7, Table 9-9).

        For each of the two: 3 min up at 63.5 fsw on average 52.64, stop 260.18, 1 min at 10 fsw 7.82: 320.64.
        In fewer legs: 4 min at 53.5 fsw, 15.7273 each, are 62.91, 2.45 more than 60.46: 323.09, twice 646.18.
        """
        bench = bench_at("08:03:00")
        found = air(bench).sums.leave_now
        assert found is not None
        assert (found.need_scf, found.covered) == (647, True)

    def test_what_was_drawn_since_the_reading_is_taken_off_to_the_end_of_the_minute(
        self, bench_at: BenchAt
    ) -> None:
        """2900 psig at 08:00; a minute later 2 x 25.4545 scfm less."""
        bench = bench_at("08:00:00")
        for source in ("bank-1", "bank-2"):
            bench.enter("supply.read", source=source, pressure_psig=2900.0)
        at_once = air(bench).sums.leave_now
        later = air(bench.go("08:01:00")).sums.leave_now
        assert at_once is not None
        assert later is not None
        assert at_once.usable_scf - later.usable_scf in (50, 51, 52)
        within = air(bench.go("08:00:00.001")).sums.leave_now
        assert within == later

    def test_at_a_stop_only_what_is_left_of_it_counts(self, bench_at: BenchAt) -> None:
        """At 08:30:34 3:00 are left; reckoned to 08:31:00 it is 2:34, charged as 3 min, and 1 min up."""
        bench = bench_at("08:20:00").go("08:30:34")
        found = air(bench).sums.leave_now
        assert found is not None
        assert found.need_scf == 74  # 2 x (3 x 9.6364 + 7.8182) = 73.45

    def test_nobody_in_the_water_needs_nothing(self, bench_at: BenchAt) -> None:
        sums = air(bench_at("07:29:00")).sums
        assert (sums.leave_now, sums.without_primary) == (None, None)
        assert coverage_words(sums.leave_now) == "nobody depends on it"
        assert sums.planned is not None
        assert sums.planned.covered

    def test_without_a_schedule_nothing_is_known_to_be_covered(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        bench.enter("depth.read", lane=1, reading_fsw=360.0)
        found = air(bench).sums.leave_now
        assert found is not None
        assert not found.known
        assert bench.alarms()["air short now"].priority == "high"


class TestPlan:
    def test_by_hand_on_deck(self, bench_at: BenchAt) -> None:
        """110 fsw for 35 min: 26 scfm x 35 = 910; up 3 min at 65 fsw 53.45; 20 fsw 27 min 260.18; 1 min 7.82.

        In fewer legs 4 min at 55 fsw are 64.00, 2.73 more than 61.27: 1234.18 for each of the two.
        """
        planned = air(bench_at("07:00:00")).sums.planned
        assert planned is not None
        assert planned.need_scf == 2469

    def test_short_of_plan_is_told_as_such(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:31:00")
        bench.enter("supply.read", source="bank-1", pressure_psig=500.0)
        bench.enter("supply.read", source="bank-2", pressure_psig=500.0)
        found = bench.alarms()
        assert found["air short of plan"].priority == "medium"
        assert "air short now" not in found


class TestTurn:
    def test_the_plan_leads_while_there_is_air(self, bench_at: BenchAt) -> None:
        (found,) = air(bench_at("07:40:00")).turns.values()
        assert (found.turn.leads, found.turn.minute) == ("schedule", 35)
        assert found.leave_by is not None
        assert f"{found.leave_by:%H:%M:%S}" == "08:05:00"

    def test_air_leads_where_it_ends_first_and_the_next_minute_is_not_covered(
        self, bench_at: BenchAt
    ) -> None:
        bench = bench_at("07:40:00")
        bench.enter("supply.read", source="bank-1", pressure_psig=430.0)
        bench.enter("supply.read", source="bank-2", pressure_psig=430.0)
        found = air(bench).turns[1]
        assert found.turn.leads == "air"
        assert found.turn.minute is not None
        assert 10 < found.turn.minute < 35
        assert air(bench).lines[0].startswith(f"TURN lane 1 {found.leave_by:%H:%M:%S}: leave by ")
        assert found.leave_by is not None
        bench.go(f"{found.leave_by:%H:%M:%S}")
        assert "air short now" not in bench.alarms()
        bench.clock.advance(60)
        assert "air short now" in bench.alarms()

    def test_nobody_on_the_bottom_has_none(self, bench_at: BenchAt) -> None:
        assert not air(bench_at("07:29:00")).turns
        assert not air(bench_at("08:10:00")).turns


class TestPrimaryLost:
    def test_is_to_be_answered_by_a_change_over_and_then_by_the_end_of_the_dive(
        self, bench_at: BenchAt
    ) -> None:
        bench = bench_at("07:53:00")
        bench.enter("source.lost", source="bank-1", reason="no pressure")
        alarm = bench.alarms()["bank-1 lost"]
        assert (alarm.priority, alarm.words) == ("high", "Bank 1 LOST: change over to Bank 2, then mark it")
        bench.enter("supply.changed_over", source="bank-2")
        alarm = bench.alarms()["bank-1 lost"]
        assert (alarm.priority, alarm.words) == ("medium", "Bank 1 LOST: end the dive on what is left")
        assert air(bench).sums.without_primary is None, "it is leaving now already"

    def test_the_sums_go_by_the_secondary_from_then_on_as_if_drawn_only_since(
        self, bench_at: BenchAt
    ) -> None:
        bench = bench_at("07:53:00")
        before = air(bench).sums.without_primary
        bench.enter("source.lost", source="bank-1")
        after = air(bench).sums.leave_now
        assert before is not None
        assert after == before

    def test_nothing_left_says_so(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:53:00")
        for source in ("bank-3", "bank-2", "bank-1"):
            bench.enter("source.lost", source=source)
        found = bench.alarms()
        assert found["bank-1 lost"].words == "Bank 1 LOST and no source is left to change over to"
        assert found["air short now"].priority == "high"


class TestQuestion:
    def test_a_reading_against_the_trend_is_questioned_before_it_is_entered(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:33:30")
        for minute, psig in ((34, 2890), (36, 2878), (38, 2866), (40, 2854), (42, 2842)):
            bench.go(f"07:{minute}:00").enter("supply.read", source="bank-1", pressure_psig=float(psig))
        bench.go("07:44:00")
        now = bench.clock.now()
        assert question(bench.board, "bank-1", 2830.0, now) is None
        words = question(bench.board, "bank-1", 2380.0, now)
        assert words is not None
        assert words.startswith("2380 psig on Bank 1 stands below the trend of its readings: read it again")
        bench.enter("supply.read", source="bank-1", pressure_psig=2380.0)
        assert bench.alarms()["bank-1 questioned"].priority == "medium"

    def test_after_a_filling_the_old_trend_asks_nothing(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:33:30")
        for minute, psig in ((34, 1890), (36, 1878), (38, 1866), (40, 1854), (42, 1842)):
            bench.go(f"07:{minute}:00").enter("supply.read", source="bank-1", pressure_psig=float(psig))
        bench.go("07:43:00").enter("bank.filled", source="bank-1")
        assert question(bench.board, "bank-1", 2900.0, bench.go("07:44:00").clock.now()) is None

    def test_a_bank_that_rose_since_it_was_shut_off_was_filled_or_misread(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:33:30")
        for source, psig in (("bank-1", 900.0), ("bank-2", 420.0)):
            bench.go("07:34:00").enter("supply.read", source=source, pressure_psig=psig)
        bench.go("07:35:00").enter("supply.changed_over", source="bank-2")
        now = bench.go("07:36:00").clock.now()
        words = question(bench.board, "bank-2", 1000.0, now)
        assert words == (
            "1000 psig on Bank 2 is 580 over what was read last, and no filling was entered since"
        )
        # 420 psig, a thirtieth of it and twice the 50 psi to which the gauge is read: 534.
        assert question(bench.board, "bank-2", 534.0, now) is None
        assert question(bench.board, "bank-2", 535.0, now) is not None
        bench.enter("bank.filled", source="bank-2")
        assert question(bench.board, "bank-2", 1000.0, now) is None

    def test_above_the_working_pressure_or_on_no_bank(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        now = bench.clock.now()
        assert "above the working pressure" in (question(bench.board, "bank-2", 3100.0, now) or "")
        assert question(bench.board, "manifold", 150.0, now) is None


class TestTests:
    def test_without_dates_each_is_told_low_before_the_dive_only(self, fresh: "Bench") -> None:
        assert not fresh.alarms()
        fresh.plan()
        found = fresh.alarms()
        dated = ("air-sample", "hose-1-test", "hose-2-test", "depth-gauge-test")
        assert [found[f"out of date {one}"].priority for one in dated] == ["low"] * 4

    def test_a_date_entered_takes_it_away_and_a_failed_one_is_high(self, fresh: "Bench") -> None:
        fresh.plan()
        fresh.enter("test.done", test="hose-1-test", on=date(2030, 6, 3), passed=True)
        assert "out of date hose-1-test" not in fresh.alarms(), "on the day it is due it still stands"
        fresh.enter("test.done", test="hose-1-test", on=date(2031, 6, 1), passed=False, result="bulge")
        alarm = fresh.alarms()["failed hose-1-test"]
        assert (alarm.priority, alarm.words) == (
            "high",
            "Pressure test of hose 1 of 2031-06-01 FAILED: bulge",
        )
        fresh.enter("test.done", test="hose-1-test", on=date(2031, 6, 2), passed=True)
        assert not {"failed hose-1-test", "out of date hose-1-test"} & set(fresh.alarms())

    def test_a_sample_over_a_limit_is_failed(self, fresh: "Bench") -> None:
        """20 ppm of carbon monoxide at most: 46 CFR 197.340(i)."""
        fresh.plan()
        sample: dict[str, Any] = {"oxygen_percent": 20.9, "co2_ppm": 400.0, "oil_mg_m3": 0.2}
        fresh.enter("sample.taken", test="air-sample", on=date(2031, 6, 1), co_ppm=20.5, **sample)
        assert "carbon monoxide 20.5 ppm, over 20" in fresh.alarms()["failed air-sample"].words


class TestKept:
    def test_the_air_is_worked_out_once_for_a_board_and_a_minute(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:30")
        first = air(bench)
        assert air(bench.go("07:40:59")) is first
        assert air(bench.go("07:41:00")) is first
        assert air(bench.go("07:41:00.001")) is not first
        bench.enter("voice.checked", lane=1, good=True)
        assert air(bench) is not first

    def test_the_end_of_a_minute(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        assert f"{minute_end(bench.clock.now()):%H:%M:%S}" == "07:40:00"
        assert f"{minute_end(bench.go('07:40:00.001').clock.now()):%H:%M:%S}" == "07:41:00"


def test_a_stop_that_was_marked_says_where_the_diver_is(bench_at: BenchAt) -> None:
    bench = bench_at("08:06:33").go("08:06:34")
    lane = bench.board.lanes[1]
    assert present_depth_fsw(bench.board, lane) == 107
    bench.enter(MARK, lane=1, mark="reached_stop", depth_fsw=20.0)
    assert present_depth_fsw(bench.board, bench.board.lanes[1]) == 20


def test_the_air_since_the_last_reading_goes_by_the_deepest_since(bench_at: BenchAt) -> None:
    """At the 20 fsw stop, the bank last read on the bottom: 2 x 25.4545 scfm until it is read again."""
    bench = bench_at("08:10:00")
    assert air_now(bench.board, bench.clock.now()).drawn_scfm == pytest.approx(2 * 6 * 143 / 33)
    bench.enter("supply.read", source="bank-1", pressure_psig=2500.0)
    assert air_now(bench.board, bench.clock.now()).drawn_scfm == pytest.approx(2 * 6 * 53 / 33)


def test_what_a_diver_drew_who_is_off_the_hose_is_gone_until_the_bank_is_read(bench_at: BenchAt) -> None:
    """Banks read at 06:47 alone; from the faceplate's closing to its opening 2 x 6 x 143 / 33 = 52 scfm."""
    bench = bench_at("09:00:00")
    done = bench.board.lanes[1].progress.done
    minutes = (done["faceplate-opened"].at - done["faceplate-closed"].at) / timedelta(minutes=1)
    bench.plan(lane=2, diver="oskar", depth_fsw=60.0, tenders=["mara"])
    found = air(bench).sums.planned
    assert air_now(bench.board, bench.clock.now()).drawn_before_scf == pytest.approx(52 * minutes)
    bench.enter("supply.read", source="bank-1", pressure_psig=2900.0)
    again = air(bench).sums.planned
    assert found is not None
    assert again is not None
    assert again.usable_scf - found.usable_scf == pytest.approx(52 * minutes, abs=1)
    assert air_now(bench.board, bench.clock.now()).drawn_before_scf == 0


@pytest.mark.parametrize("psig", [500.0, 1500.0, 2900.0])
def test_every_rung_is_covered_as_the_turn_time_says(bench_at: BenchAt, psig: float) -> None:
    """The ladder's column and the turn time are two ways to the same sums, a minute's rounding apart."""
    bench = bench_at("07:40:00")
    for source in ("bank-1", "bank-2"):
        bench.enter("supply.read", source=source, pressure_psig=psig)
    (lane,) = bench.figures().lanes
    until = air(bench).turns[1].turn
    assert lane.ladder is not None
    assert until.air_min is not None
    rungs = [one for one in lane.ladder.rungs if one.leave_by is not None]
    assert len(rungs) > 5
    for rung in rungs:
        holds = rung.schedule.holds_to_min
        assert holds is not None
        assert rung.covers is (holds <= until.air_min or until.air_open)
    assert [one.air_scf for one in rungs] == sorted(one.air_scf or 0 for one in rungs)


def test_air_for_the_chamber_alone_is_no_air_for_the_divers(bench_at: BenchAt) -> None:
    """A full bank more that feeds only the chamber: ladder, turn, time to the reserve stay as they were."""

    def told(bench: "Bench") -> tuple[object, ...]:
        (lane,) = bench.figures().lanes
        assert lane.ladder is not None
        rungs = [(one.spare_scf, one.covers) for one in lane.ladder.rungs]
        return rungs, air(bench).turns[1].turn.air_min, air(bench).look.reserve_min

    bench = bench_at("07:40:00")
    before = told(bench)
    board = bench.watch.board
    supply = board.setup.supply
    other = supply.banks[1].model_copy(update={"id": "bank-9", "feeds": ("chamber",)})
    more = {"banks": (*supply.banks, other), "change_over": (*supply.change_over[:2], "bank-9", "bank-3")}
    setup = replace(board.setup, supply=supply.model_copy(update=more))
    bench.watch.board = replace(board, setup=setup)
    bench.enter("supply.read", source="bank-9", pressure_psig=2900.0)
    assert told(bench) == before


def test_once_the_bottom_is_left_there_is_no_ladder(bench_at: BenchAt) -> None:
    bench = bench_at("08:05:00")
    assert ladder_air(bench.board, bench.board.lanes[1], bench.clock.now()) is None


class TestNeverLess:
    """More depth, more time and so more stops, more divers never need less air."""

    def needs(self, bench: "Bench") -> int:
        found = air(bench).sums.leave_now
        assert found is not None
        return found.need_scf

    def test_deeper(self, bench_at: BenchAt) -> None:
        needs = []
        for depth in (105, 112, 118, 125, 133, 140, 160, 180):
            bench = bench_at("07:50:00")
            bench.enter("depth.read", lane=1, reading_fsw=float(depth))
            needs.append(self.needs(bench))
        assert needs == sorted(needs)

    def test_longer(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:42:00")
        needs = [self.needs(bench.go(f"07:{minute}:30")) for minute in range(42, 60)]
        assert needs == sorted(needs)
        assert needs[0] < needs[-1]

    def test_one_diver_more(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        alone = self.needs(bench)
        bench.plan(lane=2, diver="oskar", depth_fsw=60.0, tenders=["mara"])
        bench.dress(2, until="air-on")
        bench.enter("supply.read", source="manifold", pressure_psig=150.0)
        bench.dress(2)
        bench.enter(MARK, lane=2, mark="left_surface")
        both = self.needs(bench)
        bench.enter("depth.read", lane=2, reading_fsw=50.0)
        assert alone < self.needs(bench) <= both
        assert set(air(bench).turns) == {1, 2}


def test_until_the_depth_is_read_on_the_bottom_the_planned_one_holds(bench_at: BenchAt) -> None:
    """62 fsw read on the way down says nothing of the bottom, whether or not that was marked as reached."""
    turns = {now: air(bench_at(now)).turns[1].turn.air_min for now in ("07:31:00", "07:32:10", "07:32:30")}
    assert turns["07:31:00"] == turns["07:32:10"] <= turns["07:32:30"]  # type: ignore[operator]


def test_readings_from_the_bottom_say_nothing_against_the_plan_at_a_stop(bench_at: BenchAt) -> None:
    """11 psi a minute is about what is planned on the bottom, and twice what is planned at 20 fsw."""
    bench = bench_at("07:33:30")
    for minute, psig in ((35, 2880), (40, 2828), (45, 2776), (50, 2724)):
        bench.go(f"07:{minute}:00").enter("supply.read", source="bank-1", pressure_psig=float(psig))
    bench.go("07:51:00").enter(MARK, lane=1, mark="left_bottom")
    bench.go("07:53:54").enter(MARK, lane=1, mark="reached_stop", depth_fsw=20.0)
    found = air(bench).look
    assert found.drawn_scfm is not None
    assert found.drawn_scfm > found.planned_scfm
    assert not found.falling_faster
    assert "air falling faster" not in bench.alarms()


def drawn_steadily(bench: "Bench", psi_per_min: float) -> None:
    """Enter ten readings of bank 1 at an even fall, one every three minutes."""
    start = bench.clock.now()
    for number in range(10):
        bench.clock.moment = start + timedelta(minutes=3 * number)
        psig = 2850 - 3 * psi_per_min * number
        bench.enter("supply.read", source="bank-1", pressure_psig=psig)


@pytest.mark.parametrize("psi_per_min", [6.0, 12.0])
def test_what_the_diver_surely_draws_is_held_against_the_divers_own_plan(
    bench_at: BenchAt, psi_per_min: float
) -> None:
    """One diver: 25.5 to 26 scfm planned, the standby the same again and drawing nothing.

    A psi of bank 1 is about 3.8 scfm: 6 a minute are some 23, 12 some 45, under what both are charged with.
    """
    bench = bench_at("07:34:00")
    drawn_steadily(bench, psi_per_min)
    found = air(bench).look
    assert found.drawn_scfm is not None
    assert found.drawn_scfm < found.planned_scfm
    assert found.falling_faster is (psi_per_min > 6)
    if found.falling_faster:
        assert found.surely_scfm / 26 <= found.faster <= found.drawn_scfm / 25.4
        assert found.words.endswith("scfm planned for the divers without the standby")


def test_what_two_drew_is_no_faster_fall_once_one_is_off_the_hose(bench_at: BenchAt) -> None:
    """13 psi a minute are some 49 scfm: the plan of two divers, and of one with the standby."""
    bench = bench_at("07:34:00")
    bench.plan(lane=2, diver="oskar", depth_fsw=107.0, tenders=["mara"])
    bench.dress(2, until="air-on")
    bench.enter("supply.read", source="manifold", pressure_psig=150.0)
    bench.dress(2)
    drawn_steadily(bench, 13)
    both = air(bench).look
    bench.enter("dive.called_off", "sela", lane=2, reason="fog")
    alone = air(bench).look
    assert both.drawn_scfm == alone.drawn_scfm
    assert alone.surely_scfm > 26
    assert (both.falling_faster, alone.falling_faster) == (False, False)
