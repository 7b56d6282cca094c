"""Amendments and withdrawals: what they make of the board, and when they are refused."""

import time
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import pytest

from station.board.amend import amended
from station.errors import Refusal
from station.events import Event

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
BenchOf = Callable[[Sequence[Event], str], "Bench"]
MARK = "mark.taken"


class TestAmending:
    def test_a_value_and_a_time_take_effect_and_the_old_ones_stay_in_the_log(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        target = bench.find("depth.read", 1)
        bench.amend(target, reading_fsw=112.0, at="2031-06-03T07:32:20.000Z")
        reading = bench.board.lanes[1].readings[1]
        assert (reading.id, reading.reading_fsw, f"{reading.at:%H:%M:%S}") == (target, 112, "07:32:20")
        assert bench.lane().dive.depth.depth == 114
        logged = bench.board.find(target)
        assert logged is not None
        assert f"{logged.at:%H:%M:%S}" == "07:32:30"

    def test_the_second_amendment_of_a_field_wins_and_leaves_other_fields(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        target = bench.find("depth.read", 1)
        bench.amend(target, reading_fsw=112.0, at="2031-06-03T07:32:20.000Z")
        bench.amend(target, reading_fsw=108.0)
        reading = bench.board.lanes[1].readings[1]
        assert (reading.reading_fsw, f"{reading.at:%H:%M:%S}") == (108, "07:32:20")

    def test_withdrawing_amendments_restores_what_stood_before(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        target = bench.find("depth.read", 1)
        before = bench.board.lanes
        first = bench.amend(target, reading_fsw=112.0)
        second = bench.amend(target, reading_fsw=108.0)
        bench.withdraw(second)
        assert bench.board.lanes[1].readings[1].reading_fsw == 112
        bench.withdraw(first)
        assert bench.board.lanes == before

    def test_an_optional_field_can_be_emptied(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        target = bench.find("dive.closed")
        bench.amend(target, remarks="told to stay near the chamber")
        bench.amend(target, remarks=None)
        closed = bench.board.lanes[1].closed
        assert closed is not None
        assert closed.remarks is None

    def test_an_amended_time_of_leaving_the_bottom_changes_the_schedule(self, bench_at: BenchAt) -> None:
        """At 110 fsw 36 min go to the row of 40 (U.S. Navy Diving Manual, Revision 7, Table 9-9)."""
        bench = bench_at("08:04:00").go("08:06:10")
        bench.amend(bench.find(MARK, mark="left_bottom"), at="2031-06-03T08:05:30.000Z")
        dive = bench.lane().dive
        assert (dive.bottom_min, dive.schedule.minutes) == (36, 36)
        assert getattr(dive.schedule, "name", "") == "110/40"


class TestRefusedAmendments:
    @pytest.mark.parametrize(
        ("changes", "said"),
        [
            ({"seat": "tender"}, "seat cannot be amended in depth.read; what may change: at, reading_fsw"),
            ({"lane": 2}, "lane cannot be amended in depth.read; what may change: at, reading_fsw"),
            ({"depth": 3.0}, "depth cannot be amended in depth.read; what may change: at, reading_fsw"),
            ({"reading_fsw": "105"}, "reading_fsw cannot be amended so: input should be a valid number"),
            ({"reading_fsw": -3.0}, "reading_fsw cannot be amended so: input should be greater than or"),
            ({"reading_fsw": None}, "reading_fsw cannot be amended so: input should be a valid number"),
            ({"reading_fsw": float("nan")}, "reading_fsw cannot be amended so: input should be a finite"),
            ({"at": "noon"}, "at cannot be amended so: input should be a valid datetime"),
            ({"at": "2031-06-03T07:32:00"}, "at cannot be amended so: a time needs its zone"),
            ({"at": 5}, "at cannot be amended so: input should be a valid datetime"),
            ({"at": "2031-06-03T07:40:02.000Z"}, "07:40:02 is in the future; it is 07:40:00 now"),
            ({"at": "2031-06-03T06:00:00.000Z"}, "06:00:00 is before the operation was opened at 06:45:00"),
            ({"at": "2031-06-03T07:29:00.000Z"}, "07:29:00 is before the diver left the surface at 07:30:00"),
            ({"reading_fsw": 105.0}, "the amendment changes nothing"),
            ({}, "the amendment changes nothing"),
        ],
    )
    def test_of_a_depth_reading(self, bench_at: BenchAt, changes: dict[str, Any], said: str) -> None:
        bench = bench_at("07:40:00")
        assert bench.not_amended(bench.find("depth.read", 1), **changes).startswith(said)

    def test_entries_that_stay_as_they_are(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        words = "an entry of the kind {} stays as it is"
        assert bench.not_amended(bench.find("operation.opened"), title="x") == words.format(
            "operation.opened"
        )
        assert bench.not_withdrawn(bench.find("operation.opened")) == words.format("operation.opened")
        gone = bench.withdraw(bench.find("voice.checked"))
        assert bench.not_withdrawn(gone) == words.format("entry.withdrawn")
        changed = bench.amend(bench.find("depth.read", 1), reading_fsw=103.0)
        said = bench.not_amended(changed, reason="x")
        assert said == "an entry of the kind entry.amended cannot be amended; make a new entry instead"

    def test_of_nothing(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        assert bench.not_withdrawn("0" * 32) == f"there is no entry '{'0' * 32}'"
        target = bench.find("voice.checked")
        bench.withdraw(target)
        assert bench.not_withdrawn(target) == "that entry is already withdrawn"
        assert bench.not_amended(target, good=False) == "that entry is already withdrawn"

    def test_others_than_the_author_and_the_supervisor(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        target = bench.find("depth.read", 1)
        said = bench.not_amended(target, "mara", reading_fsw=103.0)
        assert said == "only Tomma Reis, who made it, or a supervisor may correct this entry"
        bench.amend(target, "tomma", reading_fsw=103.0)
        bench.amend(target, "sela", reading_fsw=104.0)

    def test_a_field_of_another_kind_of_event_is_unknown(self, fresh: "Bench") -> None:
        event = fresh.event("note.made", text="x")
        with pytest.raises(Refusal, match=r"what may change: at, text$"):
            amended(event, {"reading_fsw": 3.0})


class TestWhatStandsOnAnEntry:
    """A correction that takes the ground from a later entry is refused, and names it."""

    def test_a_mark_cannot_move_behind_the_next(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        target = bench.find(MARK, mark="left_surface")
        said = bench.not_amended(target, at="2031-06-03T07:33:00.000Z")
        assert said.startswith("then the entry depth.read of 07:31:00 could not stand: 07:31:00 is before")
        bench.withdraw(bench.find("depth.read"))
        said = bench.not_amended(target, at="2031-06-03T07:32:20.000Z")
        assert said.startswith(
            "then the mark 'reached bottom' of 07:32:10 could not stand: 07:32:10 is before"
        )
        bench.amend(target, at="2031-06-03T07:31:00.000Z")
        assert bench.lane().dive.bottom_min == 9

    def test_a_mark_cannot_go_while_others_stand_on_it(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:10:00")
        said = bench.not_withdrawn(bench.find(MARK, mark="left_bottom"))
        assert said.startswith("then the mark 'reached stop 20 fsw' of 08:06:34 could not stand:")
        said = bench.not_withdrawn(bench.find(MARK, mark="left_surface"))
        assert said.startswith(
            "then the entry depth.read of 07:31:00 could not stand: lane 1: the diver is not"
        )
        bench.withdraw(bench.find(MARK, mark="reached_bottom"))
        bench.withdraw(bench.find(MARK, mark="reached_stop"))
        bench.withdraw(bench.find(MARK, mark="left_bottom"))
        assert bench.lane().phase == "descent"

    def test_the_surface_cannot_be_reached_after_undressing_began(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:40:00")
        target = bench.find(MARK, mark="reached_surface")
        said = bench.not_amended(target, at="2031-06-03T08:35:11.000Z")
        assert said.startswith(
            "then Faceplate open of 08:35:10 could not stand: 08:35:10 is before the diver"
        )
        assert bench.not_withdrawn(target).startswith("then Faceplate open of 08:35:10 could not stand:")

    def test_a_piece_in_use_is_not_withdrawn(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:20:00")
        said = bench.not_withdrawn(bench.find("piece.drawn", piece="helmet"))
        assert "later entries stand on it" in said

    def test_nothing_of_the_outfit_is_withdrawn_in_the_water(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        said = bench.not_withdrawn(bench.find("step.done", step="faceplate-closed"))
        assert "the diver has left the surface" in said

    def test_a_plan_with_entries_is_not_withdrawn_and_one_without_is(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        assert "there is no lane 1" in bench.not_withdrawn(bench.find("dive.planned"))
        plan = bench.plan(lane=2, diver="oskar").event.id
        bench.withdraw(plan)
        assert list(bench.board.lanes) == [1]
        bench.plan(lane=2, diver="oskar")

    def test_an_earlier_lane_is_not_withdrawn_from_under_a_later_one(self, fresh: "Bench") -> None:
        first = fresh.plan().event.id
        fresh.plan(lane=2, diver="oskar")
        said = fresh.not_withdrawn(first)
        assert said == "then the entry dive.planned of 06:45:00 could not stand: the next lane is 1, not 2"

    def test_a_person_who_made_entries_does_not_vanish(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        said = bench.not_withdrawn(bench.find("crew.joined", person="tomma"))
        assert "nobody with the id 'tomma' has joined the crew" in said

    def test_conditions_stay_once_a_lane_is_closed_on_them(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        said = bench.not_withdrawn(bench.find("conditions.noted"))
        assert said.startswith("then the closing of lane 1 of 08:50:00 could not stand:")


class TestFactsLearntLater:
    """A correction of what was read never fails on what was rightly done on it."""

    def test_a_pressure_that_was_misread_can_be_put_right_after_the_faceplate_closed(
        self, bench_at: BenchAt
    ) -> None:
        bench = bench_at("07:40:00")
        bench.amend(bench.find("supply.read", source="manifold"), pressure_psig=20.0)
        assert [one.pressure_psig for one in bench.board.supply if one.source == "manifold"] == [20, 148]

    def test_on_deck_the_right_pressure_still_bars_leaving(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:29:00")
        bench.amend(bench.find("supply.read", source="manifold"), pressure_psig=20.0)
        assert "Manifold too low: 20 psig" in bench.refusal(MARK, lane=1, mark="left_surface")

    def test_a_stop_made_on_a_wrong_depth_stands_when_the_depth_is_put_right(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:03:30")
        wrong = bench.enter("depth.read", lane=1, reading_fsw=150.0).event.id
        bench.go("08:04:00").enter(MARK, lane=1, mark="left_bottom")
        first = bench.lane().dive.stops[0].depth
        bench.go("08:05:54").enter(MARK, lane=1, mark="reached_stop", depth_fsw=first)
        bench.amend(wrong, reading_fsw=105.0)
        dive = bench.lane().dive
        assert [(line.depth, line.minutes, line.state) for line in dive.stops] == [
            (first, 0, "here"),
            (20, 27, "to come"),
        ]
        assert bench.lane().clock.caption == "AT A STOP, NONE OWED"

    def test_a_deeper_reading_put_right_later_outweighs_a_declared_depth(self, bench_at: BenchAt) -> None:
        bench = bench_at("07:40:00")
        bench.enter("depth.declared", "sela", lane=1, depth_fsw=115.0, reason="gauge doubted")
        bench.amend(bench.find("depth.read", 1), reading_fsw=125.0)
        assert (bench.lane().dive.depth.depth, bench.lane().dive.depth.origin) == (127, "read")

    def test_a_stop_is_not_amended_to_a_depth_where_none_is_owed(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:10:00")
        said = bench.not_amended(bench.find(MARK, mark="reached_stop"), depth_fsw=25.0)
        assert said.startswith("'reached stop 25 fsw' cannot be taken: stops still to come: 20 fsw")

    def test_a_stop_is_not_moved_before_the_bottom_was_left(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:10:00")
        said = bench.not_amended(bench.find(MARK, mark="reached_stop"), at="2031-06-03T08:03:00.000Z")
        assert said.startswith("08:03:00 is before the last mark, left bottom at 08:03:40")

    def test_an_entry_that_had_no_ground_before_bars_no_correction(
        self, bench_at: BenchAt, bench_of: BenchOf
    ) -> None:
        """A journal of another version of the rules: its entries stand, and can be corrected."""
        bench = bench_at("07:40:00")
        odd = bench.event("depth.read", when="07:20:00", lane=1, reading_fsw=10.0)
        bench = bench_of((*bench.board.log, odd), "07:41:00")
        bench.amend(bench.find("depth.read", 1), reading_fsw=103.0)


SIGNED: dict[str, Any] = {
    "lane": 1,
    "file": "lane1.toml",
    "sha256": "0" * 64,
    "person": "tomma",
    "role": "timekeeper",
    "fingerprint": "SHA256:x",
}


class TestClosedAndSigned:
    def test_a_closed_lane_is_corrected_by_reopening_it(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        target = bench.find("depth.read", 1)
        words = "lane 1 is closed; correct it by an addendum to its record"
        assert bench.not_amended(target, reading_fsw=103.0) == words
        assert bench.not_withdrawn(target) == words
        bench.withdraw(bench.find("dive.closed"))
        assert bench.lane().phase == "to close"
        bench.amend(target, reading_fsw=103.0)
        bench.enter("dive.closed", "sela", lane=1, condition_after="well")

    def test_an_amendment_made_before_the_closing_is_not_withdrawn_after_it(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:49:00")
        changed = bench.amend(bench.find("depth.read", 1), reading_fsw=103.0)
        bench.enter("dive.closed", "sela", lane=1, condition_after="well")
        said = bench.not_withdrawn(changed)
        assert said == "lane 1 is closed; correct it by an addendum to its record"

    def test_the_closing_itself_may_be_put_right_until_somebody_has_signed(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        closing = bench.find("dive.closed")
        changed = bench.amend(closing, condition_after="well, a little cold")
        bench.withdraw(changed)
        changed = bench.amend(closing, condition_after="well, cold hands")
        bench.enter("record.signed", **SIGNED)
        words = "lane 1 is signed; correct it by an addendum to its record"
        assert bench.not_withdrawn(closing) == words
        assert bench.not_withdrawn(changed) == words
        assert bench.not_amended(closing, condition_after="x") == words

    def test_another_lane_goes_on_all_the_same(self, bench_at: BenchAt) -> None:
        bench = bench_at("08:51:00")
        bench.enter("record.signed", **SIGNED)
        bench.plan(lane=2)
        note = bench.enter("note.made", lane=2, text="a word").event.id
        bench.amend(note, text="another word")
        assert bench.board.lanes[2].remarks[0].text == "another word"


def test_a_correction_in_a_long_log_is_weighed_at_once(bench_at: BenchAt, bench_of: BenchOf) -> None:
    """The whole log is gone through; 500 entries must not keep a seat waiting."""
    bench = bench_at("08:20:00")
    readings = [
        bench.event("supply.read", when="08:20:00", source="bank-1", pressure_psig=float(2500 - count))
        for count in range(500 - len(bench.board.log))
    ]
    bench = bench_of((*bench.board.log, *readings), "08:20:00")
    target = bench.find("depth.read", 1)
    started = time.process_time()
    bench.amend(target, reading_fsw=103.0)
    assert time.process_time() - started < 1
    assert len(bench.board.log) == 501
