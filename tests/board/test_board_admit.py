"""What may be entered, and the sentence that refuses everything else; a refusal changes nothing.

`Bench.refusal` sees to the last: board and journal are the same before and after.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from station.board.admit import admit
from station.board.facts import air_open
from station.board.fold import fold
from station.errors import Refusal
from station.setup import Setup
from station.supply.model import BandForm

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
MARK = "mark.taken"


class TestTime:
    def test_a_time_still_to_come_is_refused(self, fresh: "Bench") -> None:
        assert (
            fresh.refusal("supply.read", when="06:45:02", source="bank-1", pressure_psig=2000.0)
            == "06:45:02 is in the future; it is 06:45:00 now"
        )

    def test_the_way_from_key_to_check_may_take_a_second(self, fresh: "Bench") -> None:
        fresh.enter("supply.read", when="06:45:01", source="bank-1", pressure_psig=2000.0)

    def test_an_entry_cannot_have_been_made_later_than_now(self, fresh: "Bench") -> None:
        fresh.go("06:50:00")
        event = fresh.event("supply.read", when="06:46:00", source="bank-1", pressure_psig=2000.0)
        fresh.go("06:47:00")
        with pytest.raises(Refusal, match="it cannot have been entered at 06:50:00, it is 06:47:00 now"):
            fresh.watch.enter(event)

    def test_a_time_before_the_opening_is_refused(self, fresh: "Bench") -> None:
        said = fresh.refusal("supply.read", when="06:44:59", source="bank-1", pressure_psig=2000.0)
        assert said == "06:44:59 is before the operation was opened at 06:45:00"

    def test_a_mark_before_the_last_mark_is_refused(self, bench_at: BenchAt) -> None:
        said = bench_at("07:33:00").refusal(MARK, when="07:32:09", lane=1, mark="left_bottom")
        assert "07:32:09 is before the last mark, reached bottom at 07:32:10" in said

    def test_nobody_leaves_the_surface_before_ready_to_dive_was_given(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:59")
        given = bench.board.lanes[1].progress.done["ready-to-dive"].at
        said = bench.refusal(MARK, when="07:26:30", lane=1, mark="left_surface")
        assert f"07:26:30 is before 'Ready to dive' was given at {given:%H:%M:%S}" == said

    def test_nobody_is_undressed_before_the_surface(self, bench_at: BenchAt) -> None:
        said = bench_at("08:34:30").refusal(
            "step.done", "mara", when="08:34:19", lane=1, step="faceplate-opened"
        )
        assert said == "08:34:19 is before the diver reached the surface at 08:34:20"

    def test_nothing_is_entered_before_the_operation_is_open(self, setup: Setup, fresh: "Bench") -> None:
        event = fresh.event("note.made", text="early")
        with pytest.raises(Refusal, match="no operation is open"):
            admit(fold(setup, []), event, fresh.clock.now())

    def test_an_operation_is_opened_once(self, fresh: "Bench") -> None:
        opened = fresh.board.opened
        assert opened is not None
        again = opened.model_copy(update={"id": "f" * 32, "title": "Second survey"})
        with pytest.raises(Refusal, match="'Gate survey' is already open; Second survey needs a new journal"):
            admit(fresh.board, again, fresh.clock.now())

    def test_an_entry_is_taken_once(self, fresh: "Bench") -> None:
        event = fresh.enter("note.made", text="once").event
        with pytest.raises(Refusal, match="on the journal already"):
            fresh.watch.enter(event)


class TestPeople:
    def test_an_unknown_person_enters_nothing(self, fresh: "Bench") -> None:
        said = fresh.refusal("note.made", "stranger", text="hello")
        assert said == "nobody with the id 'stranger' has joined the crew; enter the crew first"

    def test_a_new_person_may_join(self, fresh: "Bench") -> None:
        fresh.enter("crew.joined", "stranger", person="stranger", name="Wyn Acre", roles=["tender"])
        fresh.enter("note.made", "stranger", text="hello")

    def test_nobody_takes_the_place_of_somebody_else(self, fresh: "Bench") -> None:
        joined: dict[str, Any] = {"person": "stranger", "roles": ["tender"]}
        fresh.enter("crew.joined", "stranger", name="Wyn Acre", **joined)
        said = fresh.refusal("crew.joined", "stranger", name="Wyn Acker", **joined)
        assert said.startswith("the id 'stranger' is that of Wyn Acre; ")
        fresh.enter("crew.joined", "stranger", name="WYN ACRE", **joined | {"roles": ["diver"]})

    @pytest.mark.parametrize(
        ("kind", "fields", "what"),
        [
            ("depth.declared", {"depth_fsw": 120.0, "reason": "gauge"}, "declaring a depth of dive"),
            ("schedule.lengthened", {"reason": "cold"}, "taking the next longer schedule"),
            ("dive.closed", {"condition_after": "well"}, "closing a dive"),
        ],
    )
    def test_what_is_for_the_supervisor_is_refused_to_others(
        self, bench_at: BenchAt, kind: str, fields: dict[str, Any], what: str
    ) -> None:
        said = bench_at("07:40:00").refusal(kind, "tomma", lane=1, **fields)
        assert f"{what} is for the supervisor alone; Tomma Reis is not one" == said


TENDED = "46 CFR 197.432; from memory, 29 CFR 1910.425(c)(1)"


class TestPlan:
    @pytest.mark.parametrize(
        ("fields", "said"),
        [
            ({"lane": 2}, "the next lane is 1, not 2"),
            ({"diver": "mara"}, "Mara Lund has not joined the crew as diver or standby"),
            ({"diver": "ghost"}, "ghost has not joined the crew as diver or standby"),
            ({"tenders": ["joni"]}, "Joni Vale has not joined the crew as tender"),
            (
                {"tenders": []},
                f"no tender is named; a diver is tended all the time ({TENDED})",
            ),
            (
                {"diver": "oskar", "tenders": ["mara", "oskar"]},
                "Oskar Finn cannot dive and tend that same dive",
            ),
        ],
    )
    def test_a_plan_that_cannot_be(self, fresh: "Bench", fields: dict[str, Any], said: str) -> None:
        plan: dict[str, Any] = {
            "lane": 1,
            "diver": "joni",
            "tenders": ["mara"],
            "depth_fsw": 60.0,
            "time_min": 20,
        }
        assert said == fresh.refusal("dive.planned", "sela", work="survey", **(plan | fields))

    def test_a_diver_is_in_one_lane_at_a_time(self, fresh: "Bench") -> None:
        fresh.plan()
        said = fresh.refusal(
            "dive.planned",
            "sela",
            lane=2,
            diver="joni",
            tenders=["mara"],
            depth_fsw=60.0,
            time_min=20,
            work="x",
        )
        assert said == "Joni Vale is still in lane 1"

    def test_the_same_diver_may_dive_again_later(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:34:40")
        bench.plan(lane=2, depth_fsw=50.0, time_min=20)
        assert [one.phase for one in bench.figures().lanes] == ["undressing", "dressing"]

    def test_a_depth_without_a_known_pressure_is_not_planned(self, fresh: "Bench", setup: Setup) -> None:
        fresh.watch.board = replace(fresh.board, setup=shallow(setup))
        plan: dict[str, Any] = {
            "lane": 1,
            "diver": "joni",
            "tenders": ["mara"],
            "depth_fsw": 300.0,
            "time_min": 5,
        }
        said = fresh.refusal("dive.planned", "sela", work="survey", **plan)
        assert said.startswith("no dive is planned so deep: the supply file gives no manifold pressure")

    def test_no_pressure_is_enough_where_none_is_known(self, fresh: "Bench", setup: Setup) -> None:
        fresh.plan(depth_fsw=300.0, time_min=5)
        fresh.enter("supply.read", source="manifold", pressure_psig=290.0)
        lane, now = fresh.board.lanes[1], fresh.clock.now()
        assert air_open(fresh.board, lane, now) is None
        said = air_open(replace(fresh.board, setup=shallow(setup)), lane, now)
        assert said is not None
        assert "no manifold pressure" in said


def shallow(setup: Setup) -> Setup:
    """Return the setup with a supply file that goes no deeper than its first band."""
    equipment = setup.supply.equipment[0]
    assert isinstance(equipment.pressure, BandForm)
    pressure = equipment.pressure.model_copy(update={"bands": equipment.pressure.bands[:1]})
    first = equipment.model_copy(update={"pressure": pressure})
    return replace(setup, supply=setup.supply.model_copy(update={"equipment": (first,)}))


class TestLane:
    def test_a_lane_that_was_never_planned(self, fresh: "Bench") -> None:
        assert fresh.refusal(MARK, lane=1, mark="left_surface") == "there is no lane 1; plan the dive first"
        assert fresh.refusal("note.made", lane=3, text="x") == "there is no lane 3; plan the dive first"

    def test_a_closed_lane_takes_signatures_only(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        words = "lane 1 is closed; what comes after goes on its record as an addendum"
        assert words == bench.refusal("note.made", lane=1, text="late")
        assert words == bench.refusal(MARK, lane=1, mark="reached_surface")
        assert words == bench.refusal("depth.read", lane=1, reading_fsw=40.0)
        bench.enter("record.signed", **signed("tomma", "timekeeper"))

    def test_left_surface_lists_all_that_is_open(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:26:30")
        facts = bench.lane().open_for_dive
        assert facts
        said = bench.refusal(MARK, lane=1, mark="left_surface")
        assert "; ".join(("lane 1: the dive cannot begin; still open:", *facts)) == said
        assert "Ready to dive: not yet done" in said

    def test_an_old_reading_of_the_manifold_bars_leaving_the_surface(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:00").go("07:40:00")
        said = bench.refusal(MARK, lane=1, mark="left_surface")
        assert said == "lane 1: the dive cannot begin; still open:; air on and its supply pressure read"
        bench.enter("supply.read", source="manifold", pressure_psig=150.0)
        bench.enter(MARK, lane=1, mark="left_surface")

    def test_a_pressure_too_low_for_the_planned_depth_bars_it_too(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:00")
        bench.enter("supply.read", source="manifold", pressure_psig=60.0)
        said = bench.refusal(MARK, lane=1, mark="left_surface")
        assert said.endswith("; still open:; Manifold too low: 60 psig, 99 psig needed at 110 fsw")

    def test_closing_lists_all_that_is_open(self, bench_at: BenchAt) -> None:
        said = bench_at("08:20:00").refusal("dive.closed", "sela", lane=1, condition_after="well")
        assert said.startswith(
            "lane 1: the dive cannot be closed; still open:; the mark of reached surface; Faceplate open:"
        )
        conditions = ["visibility", "water_temperature_c", "current", "surface"]
        assert said.endswith(
            "; conditions under water and on the surface (29 CFR 1910.423(d)(1)(v)): enter it, or say in "
            f"words why it is missing: {', '.join(f'conditions.{one}' for one in conditions)}"
        )

    def test_a_record_is_signed_after_closing_by_those_on_duty_and_once(self, bench_at: BenchAt) -> None:
        open_bench = bench_at("08:41:00")
        said = open_bench.refusal("record.signed", **signed("tomma", "timekeeper"))
        assert said == "lane 1 is not closed yet; a record is signed after that"
        bench = bench_at("08:51:00")
        said = bench.refusal("record.signed", **signed("tomma", "supervisor"))
        assert said == "Tomma Reis is not supervisor at this station"
        bench.enter("record.signed", **signed("tomma", "timekeeper"))
        assert bench.lane().phase == "closed"
        said = bench.refusal("record.signed", **signed("tomma", "timekeeper"))
        assert said == "that signature under the record of lane 1 is on the journal already"
        said = bench.refusal("record.signed", **signed("tomma", "timekeeper", "1"))
        assert said == "Tomma Reis has signed lane 1 as timekeeper already"
        bench.enter("record.signed", "sela", **signed("sela", "supervisor", "1"))
        assert bench.lane().phase == "signed"

    def test_after_an_addendum_each_may_sign_once_more(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        bench.enter("record.signed", **signed("tomma", "timekeeper", "1"))
        bench.enter("record.signed", "sela", **signed("sela", "supervisor", "2"))
        bench.enter("record.signed", "sela", **signed("sela", "supervisor", "3"), addenda=1)
        said = bench.refusal("record.signed", "sela", **signed("sela", "supervisor", "4"))
        assert said == "Sela Orrin has signed lane 1 as supervisor already"
        bench.enter("record.signed", **signed("tomma", "timekeeper", "5"))
        bench.enter("record.signed", "sela", **signed("sela", "supervisor", "6"), addenda=2)
        assert bench.lane().phase == "signed"


def signed(person: str, role: str, digit: str = "0") -> dict[str, Any]:
    return {
        "lane": 1,
        "file": "2031-06-03-lane1.toml",
        "sha256": digit * 64,
        "person": person,
        "role": role,
        "fingerprint": "SHA256:x",
    }


class TestUnderWater:
    def test_marks_come_in_their_order(self, bench_at: BenchAt) -> None:
        said = bench_at("07:31:30").refusal(MARK, lane=1, mark="reached_stop", depth_fsw=20.0)
        assert "'reached stop 20 fsw' cannot be taken: the diver has not left the bottom" in said
        said = bench_at("07:40:00").refusal(MARK, lane=1, mark="left_surface")
        assert "'left surface' cannot be taken: it was taken at 07:30:00" in said

    def test_depths_are_read_in_the_water_only(self, bench_at: BenchAt) -> None:
        words = "lane 1: the diver is not in the water"
        assert words == bench_at("07:29:00").refusal("depth.read", lane=1, reading_fsw=10.0)
        assert words == bench_at("08:35:00").refusal("depth.read", lane=1, reading_fsw=10.0)
        said = bench_at("07:31:00").refusal("depth.read", when="07:29:59", lane=1, reading_fsw=10.0)
        assert said == "07:29:59 is before the diver left the surface at 07:30:00"

    def test_a_depth_read_in_the_water_may_be_entered_after_the_surface(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:34:40")
        bench.enter("depth.read", when="08:34:00", lane=1, reading_fsw=12.0)

    def test_a_reading_without_a_correction_is_refused(self, bench_at: BenchAt, setup: Setup) -> None:
        printed = setup.tables.file.pneumofathometer
        assert printed is not None
        short = printed.model_copy(update={"rows": printed.rows[:2]})
        file = setup.tables.file.model_copy(update={"pneumofathometer": short})
        bench = bench_at("07:40:00")
        tables = replace(setup.tables, file=file)
        bench.watch.board = replace(bench.board, setup=replace(setup, tables=tables))
        said = bench.refusal("depth.read", lane=1, reading_fsw=201.0)
        assert said == "no correction is printed for a reading of 201 fsw; the last is for 200 fsw"

    def test_a_shallower_depth_is_not_declared(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        said = bench.refusal("depth.declared", "sela", lane=1, depth_fsw=107.0, reason="x")
        assert "107 fsw is not deeper than the depth of this dive, 107 fsw (read)" in said

    def test_declaring_and_lengthening_are_for_the_time_in_the_water(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:00")
        cases: list[tuple[str, dict[str, Any]]] = [
            ("depth.declared", {"depth_fsw": 150.0}),
            ("schedule.lengthened", {}),
        ]
        for kind, fields in cases:
            said = bench.refusal(kind, "sela", lane=1, reason="x", **fields)
            assert said == "lane 1: the diver is not in the water"

    def test_the_longer_schedule_is_taken_once(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        bench.enter("schedule.lengthened", "sela", lane=1, reason="cold")
        said = bench.refusal("schedule.lengthened", "sela", lane=1, reason="cold")
        assert said == "lane 1: the next longer schedule is already taken"

    def test_no_voice_is_checked_at_the_surface(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:35:00")
        assert (
            bench.refusal("voice.checked", lane=1, good=True) == "lane 1: the diver has reached the surface"
        )
        bench.enter("voice.checked", when="08:34:00", lane=1, good=True)


class TestPressures:
    @pytest.mark.parametrize(
        ("source", "psig", "said"),
        [
            ("bank-9", 2000.0, "there is no gauge 'bank-9' in the supply file"),
            ("manifold", 5999.0, "5999 psig cannot be read on manifold: its gauge shows 0 to"),
        ],
    )
    def test_what_no_gauge_shows(self, fresh: "Bench", source: str, psig: float, said: str) -> None:
        assert said in fresh.refusal("supply.read", source=source, pressure_psig=psig)


def test_a_jump_of_the_wall_clock_seen_twice_is_entered_once(fresh: "Bench") -> None:
    fresh.enter("clock.jumped", "console", by_s=3600.0)
    fresh.go("06:45:01")
    said = fresh.refusal("clock.jumped", "console", by_s=3600.2)
    assert said == "the jump of the wall clock at 06:45:00 is on the journal already"
    fresh.enter("clock.jumped", "console", by_s=-3600.0)
    fresh.go("06:45:30").enter("clock.jumped", "console", by_s=3600.0)
