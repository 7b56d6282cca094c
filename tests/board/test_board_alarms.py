"""Alarms: each raised at its moment and gone when its cause is; limits are those of the station file."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from station.board.alarms import ORDER, SIGNS, Alarm, by_priority

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
MARK = "mark.taken"


def test_a_dive_in_good_order_raises_nothing_high(bench_at: BenchAt) -> None:
    """Two gauges are read at long intervals, and at 07:50 the no-stop limit of 20 min ends."""
    raised = {
        now: [alarm.key for alarm in bench_at(now).figures().alarms]
        for now in ("07:29:00", "07:35:00", "07:50:00", "08:05:00", "08:10:00", "08:45:00")
    }
    assert raised == {
        "07:29:00": ["bank-1 silent"],
        "07:35:00": ["bank-1 silent"],
        "07:50:00": ["row ends 1 min", "bank-1 silent"],
        "08:05:00": ["bank-1 silent"],
        "08:10:00": ["depth silent", "voice silent", "bank-1 silent"],
        "08:45:00": [],
    }


class TestSilence:
    """Readings no older than 5 min for depth and voice, 10 min for pressures: station choice."""

    @pytest.mark.parametrize(
        ("key", "last", "quiet", "raised", "words"),
        [
            ("depth silent", "07:33:00", "07:37:30", "07:37:30.001", "depth not read for 5:01"),
            ("voice silent", "07:33:00", "07:38:00", "07:38:00.001", "voice not read for 5:01"),
            ("manifold silent", "07:36:00", "07:43:30", "07:43:30.001", "Manifold not read for 10 min 01 s"),
        ],
    )
    def test_is_told_the_instant_the_limit_is_passed(  # noqa: PLR0917 - one case
        self, bench_at: BenchAt, key: str, last: str, quiet: str, raised: str, words: str
    ) -> None:
        bench = bench_at(last).go("07:33:30")
        if last == "07:36:00":
            assert bench.board.latest_supply["manifold"].pressure_psig == 148
        assert key not in bench.go(quiet).alarms()
        alarm = bench.go(raised).alarms()[key]
        assert (alarm.priority, alarm.words) == ("medium", words)

    def test_counts_from_leaving_the_surface_where_nothing_was_read(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:30:00").go("07:35:00")
        assert "depth silent" not in bench.alarms()
        assert "depth silent" in bench.go("07:35:01").alarms()

    def test_an_old_voice_check_from_the_deck_does_not_raise_it_early(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:00")
        bench.enter("voice.checked", lane=1, good=True)
        bench.go("07:30:00").enter(MARK, lane=1, mark="left_surface")
        assert "voice silent" not in bench.go("07:35:00").alarms()
        assert "voice silent" in bench.go("07:35:01").alarms()

    def test_ends_with_the_next_reading(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:33:30").go("07:50:00")
        assert {"depth silent", "voice silent", "manifold silent"} <= set(bench.alarms())
        bench.enter("depth.read", lane=1, reading_fsw=104.0)
        bench.enter("voice.checked", lane=1, good=True)
        bench.enter("supply.read", source="manifold", pressure_psig=148.0)
        assert not {"depth silent", "voice silent", "manifold silent"} & set(bench.alarms())

    def test_ends_at_the_surface(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:34:20").go("08:34:30")
        assert not {"depth silent", "voice silent"} & set(bench.alarms())

    def test_a_gauge_never_read_says_so(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        target = bench.find("supply.read")
        bench.withdraw(target)
        assert bench.alarms()["bank-1 silent"].words.endswith("not read yet")


def test_a_lost_voice_ends_with_a_good_one(bench_at: BenchAt) -> None:
    """29 CFR 1910.422(i)(3), as cited in the words of the alarm."""
    bench = bench_at("07:40:00")
    bench.enter("voice.checked", lane=1, good=False)
    assert bench.alarms()["voice lost"].priority == "high"
    bench.enter("voice.checked", lane=1, good=True)
    assert "voice lost" not in bench.alarms()


class TestPressure:
    def test_a_manifold_below_its_minimum(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        needed = bench.figures().supply.needed_psig
        assert needed is not None
        bench.enter("supply.read", source="manifold", pressure_psig=float(needed))
        assert "manifold low" not in bench.alarms()
        bench.enter("supply.read", source="manifold", pressure_psig=needed - 1.0)
        alarm = bench.alarms()["manifold low"]
        assert (alarm.priority, alarm.words) == ("high", f"Manifold below its minimum of {needed} psig")

    def test_it_concerns_a_diver_on_deck_behind_a_closed_faceplate_too(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:00")
        bench.enter("supply.read", source="manifold", pressure_psig=40.0)
        assert "manifold low" in bench.alarms()

    def test_and_nobody_while_no_faceplate_is_closed(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:26:05")
        bench.enter("supply.read", source="manifold", pressure_psig=40.0)
        assert not bench.alarms()
        assert not bench_at("08:45:00").alarms()

    def test_a_bank_below_its_minimum(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        bench.enter("supply.read", source="bank-1", pressure_psig=100.0)
        assert bench.alarms()["bank-1 low"].priority == "high"
        assert "bank-1 silent" not in bench.alarms()

    def test_a_depth_for_which_no_minimum_is_known(self, bench_at: BenchAt) -> None:
        """399 fsw reads 406 corrected, deeper than the supply file goes."""
        bench = bench_at("07:40:00")
        bench.enter("depth.read", lane=1, reading_fsw=399.0)
        alarm = bench.alarms()["manifold minimum"]
        assert alarm.priority == "high"
        assert alarm.words.startswith("no minimum manifold pressure is known here: ")


def test_a_faceplate_closed_too_long_on_deck(bench_at: BenchAt) -> None:
    """Five minutes: station choice."""
    bench = bench_at("07:29:00")
    closed = bench.board.lanes[1].progress.done["faceplate-closed"].at
    assert "faceplate" not in bench.go(f"{closed:%H}:{closed.minute + 5}:{closed:%S}").alarms()
    later = f"{closed:%H}:{closed.minute + 5}:{closed:%S}.001"
    alarm = bench.go(later).alarms()["faceplate"]
    assert (alarm.priority, alarm.words) == ("medium", "faceplate closed for 5:01 and not in the water")
    bench.enter("supply.read", source="manifold", pressure_psig=150.0)
    bench.enter(MARK, lane=1, mark="left_surface")
    assert "faceplate" not in bench.alarms()


def test_a_plan_that_the_tables_have_no_schedule_for_is_told_on_deck(fresh: "Bench") -> None:
    """The longest row at 200 fsw is 50 minutes: U.S. Navy Diving Manual, Revision 7, Table 9-9."""
    fresh.plan(depth_fsw=200.0, time_min=50)
    assert "plan" not in fresh.alarms()
    fresh.plan(lane=2, diver="oskar", depth_fsw=200.0, time_min=51)
    alarm = fresh.alarms()["plan"]
    words = "the plan has NO SCHEDULE: no schedule at 200 fsw for 51 min: the longest there is 50 min"
    assert (alarm.priority, alarm.lane, alarm.words) == ("medium", 2, words)


def test_a_plan_that_is_an_exceptional_exposure_is_told_on_deck(fresh: "Bench") -> None:
    """110 fsw for 50 minutes is none, for 55 it is one: U.S. Navy Diving Manual, Revision 7, Table 9-9."""
    fresh.plan(time_min=50)
    assert "exceptional plan" not in fresh.alarms()
    fresh.plan(lane=2, diver="oskar", time_min=55)
    alarm = fresh.alarms()["exceptional plan"]
    assert (alarm.priority, alarm.lane) == ("medium", 2)
    assert alarm.words.startswith("the plan: exceptional exposure")


class TestSchedule:
    @pytest.mark.parametrize(
        ("now", "told"),
        [
            ("07:57:59", None),
            ("07:58:00", "row ends"),
            ("07:58:59", "row ends"),
            ("07:59:00", "row ends 1 min"),
            ("08:00:00", "row ends 1 min"),
            ("08:00:00.001", "row stepped"),
            ("08:02:00", "row stepped"),
            ("08:02:00.001", None),
        ],
    )
    def test_a_step_is_told_in_three_stages(self, bench_at: BenchAt, now: str, told: str | None) -> None:
        """Row 110/30 holds to 08:00:00 (Table 9-9), so the first second of the 31st minute ends it."""
        found = [key for key in bench_at("07:57:30").go(now).alarms() if key.startswith("row ")]
        assert found == ([told] if told else [])

    def test_what_stepped_is_named(self, bench_at: BenchAt) -> None:
        alarm = bench_at("07:57:30").go("08:00:30").alarms()["row stepped"]
        assert alarm.words == "the schedule stepped: 110/35 is in force, it was 110/30"
        alarm = bench_at("07:48:30").go("07:50:30").alarms()["row stepped"]
        assert (alarm.priority, alarm.words) == (
            "medium",
            "the no-stop limit is passed: 110/25 is in force, it was 110/20",
        )

    def test_leaving_the_bottom_ends_the_step(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:57:30").go("08:00:30")
        bench.enter(MARK, lane=1, mark="left_bottom")
        assert "row stepped" not in bench.alarms()

    def test_the_end_of_the_no_stop_limit_is_told_in_its_own_words(self, bench_at: BenchAt) -> None:
        """At 110 fsw the limit is 20 min (Table 9-7)."""
        bench = bench_at("07:48:30")
        assert bench.alarms()["row ends"].words == "the no-stop limit ends soon"
        assert "row ends" not in bench_at("07:47:59").alarms()
        assert bench_at("08:04:00").alarms().get("row ends") is None

    def test_exceptional_exposure_is_told_before_it_is_entered_and_while_in_force(
        self, bench_at: BenchAt
    ) -> None:
        """120/45 is followed by 120/50, exceptional (Table 9-9)."""
        bench = bench_at("08:03:00")
        bench.enter("depth.read", lane=1, reading_fsw=115.0)
        bench.go("08:11:00")
        alarms = bench.alarms()
        assert alarms["exceptional next"].words == (
            "the next schedule is exceptional exposure unless on in-water air/oxygen or surface "
            "decompression on oxygen"
        )
        assert "exceptional" not in alarms
        alarms = bench.go("08:15:01").alarms()
        assert "exceptional next" not in alarms
        assert alarms["exceptional"].priority == "high"
        bench.enter(MARK, lane=1, mark="left_bottom")
        assert "exceptional" in bench.alarms()

    @pytest.mark.parametrize("gas", ["air_oxygen", "surface_oxygen"])
    def test_on_oxygen_a_row_that_is_exceptional_on_air_only_gives_no_alarm(
        self, bench_at: BenchAt, gas: str
    ) -> None:
        """120/50 is exceptional unless on oxygen (Table 9-9): by the gas chosen, and by the one left."""
        bench = bench_at("08:03:00")
        bench.enter("depth.read", lane=1, reading_fsw=115.0)
        chosen = bench.enter("gas.chosen", "sela", lane=1, gas=gas, reason="long stops").event.id
        assert "exceptional next" not in bench.go("08:11:00").alarms()
        assert "exceptional" not in bench.go("08:15:01").alarms()
        bench.withdraw(chosen)
        assert "exceptional" in bench.alarms()

    def test_when_oxygen_is_lost_the_exceptional_exposure_stands_again(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:03:00")
        bench.enter("depth.read", lane=1, reading_fsw=115.0)
        bench.enter("gas.chosen", "sela", lane=1, gas="air_oxygen", reason="long stops")
        bench.go("08:16:00").enter(MARK, lane=1, mark="left_bottom")
        bench.go("08:18:54").enter(MARK, lane=1, mark="reached_stop", depth_fsw=30)
        bench.go("08:19:54").enter(MARK, lane=1, mark="on_oxygen")
        assert "exceptional" not in bench.alarms()
        bench.go("08:20:54").enter(MARK, lane=1, mark="oxygen_lost")
        assert bench.alarms()["exceptional"].priority == "high"

    def test_no_schedule_leaves_it_to_the_supervisor(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        wrong = bench.enter("depth.read", lane=1, reading_fsw=360.0).event.id
        alarm = bench.alarms()["no schedule"]
        assert alarm.priority == "high"
        assert alarm.words.startswith("NO SCHEDULE: 367 fsw is deeper than the deepest listed depth, 300 fsw")
        bench.withdraw(wrong)
        assert "no schedule" not in bench.alarms()

    def test_the_last_row_is_told(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:33:00")
        bench.enter("depth.read", lane=1, reading_fsw=290.0)
        seen = []
        while "no schedule" not in bench.alarms():
            seen.append("last row" in bench.alarms())
            bench.clock.advance(60)
        assert seen == sorted(seen)
        assert seen[-1]


class TestStopLeftEarly:
    def left_at(self, bench_at: BenchAt, now: str) -> "Bench":
        bench = bench_at("08:20:00").go(now)
        bench.enter(MARK, lane=1, mark="left_stop", depth_fsw=20.0)
        return bench

    def test_within_the_grace_it_is_none(self, bench_at: BenchAt) -> None:
        """Five seconds: station choice."""
        assert "left early 20" not in self.left_at(bench_at, "08:33:29").alarms()
        assert "left early 20" in self.left_at(bench_at, "08:33:28.999").alarms()

    def test_what_is_missing_is_told_until_the_lane_is_closed(self, bench_at: BenchAt) -> None:
        bench = self.left_at(bench_at, "08:30:00")
        alarm = bench.alarms()["left early 20"]
        words = "stop 20 fsw left early, 3:34 missing: omitted decompression"
        assert (alarm.priority, alarm.words, alarm.lane) == ("high", words, 1)
        bench.go("08:30:40").enter(MARK, lane=1, mark="reached_surface")
        assert "left early 20" in bench.alarms()
        bench.go("08:31:00").dress()
        bench.enter(
            "conditions.noted", visibility="3 ft", water_temperature_c=9.5, current="none", surface="calm"
        )
        assert "left early 20" in bench.alarms()
        bench.enter("dive.closed", "sela", lane=1, condition_after="under observation")
        assert not bench.alarms()

    def test_it_goes_when_the_mark_is_put_right(self, bench_at: BenchAt) -> None:
        bench = self.left_at(bench_at, "08:30:00").go("08:33:40")
        bench.amend(bench.find(MARK, mark="left_stop"), at="2031-06-03T08:33:34.000Z")
        assert "left early 20" not in bench.alarms()


def test_alarms_stand_by_priority_and_speak_for_themselves(bench_at: BenchAt) -> None:
    bench = bench_at("07:33:30").go("07:50:00")
    bench.enter("supply.read", source="manifold", pressure_psig=20.0)
    shown = bench.figures().alarms
    places = [ORDER.index(alarm.priority) for alarm in shown]
    assert places == sorted(places)
    assert shown[0].text == f"!!! HIGH {shown[0].words}"
    alarm = bench.alarms()["depth silent"]
    assert alarm.text == "!! MEDIUM lane 1: depth not read for 17:30"
    assert SIGNS["low"] == "!"


def test_equal_alarms_keep_their_order() -> None:
    one, two = Alarm("low", "a", "first"), Alarm("low", "b", "second")
    urgent = Alarm("high", "c", "third")
    assert by_priority([one, two, urgent]) == (urgent, one, two)
