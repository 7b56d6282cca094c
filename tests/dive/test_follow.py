"""A dive followed mark by mark: phases, due times re-based on each mark, stops left early, wrong marks."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from station.dive.facts import DiveFacts, Mark, Reading
from station.dive.follow import Live, NextMark, follow
from station.dive.order import allowed_marks, check_declared_depth, check_mark
from station.dive.schedule import NoSchedule, Schedule
from station.errors import Refusal
from station.tables.load import load_tables
from station.tables.model import Tables
from tests.dive.conftest import Taken, at, taken_marks


def dive(*marks: Taken, reading: float = 152, read_at: str = "19:00") -> DiveFacts:
    """Return a dive planned to 150 fsw for 20 min and read at 152: corrected 154, schedule 160/20."""
    taken = taken_marks(*marks)
    return DiveFacts(150, 20, taken, (Reading(at(read_at), reading),))


DOWN: tuple[Taken, ...] = (("left_surface", "0:00"), ("reached_bottom", "2:30"))
LEFT: tuple[Taken, ...] = (*DOWN, ("left_bottom", "20:00"))
"""160/20, Rev 7, Table 9-9: 40 fsw 1 min, 30 fsw 4 min, 20 fsw 19 min. By hand from 154 fsw at 30 fsw/min:
40 fsw at 23:48, left 24:48; 30 fsw at 25:08, left 28:48; 20 fsw at 29:08, left 47:48; surface 48:28."""


def due(live: Live) -> list[tuple[float, datetime, datetime]]:
    return [(line.depth, line.due_arrive, line.due_leave) for line in live.stops]


def test_on_deck_the_plan_is_shown(tables: Tables) -> None:
    live = follow(tables, DiveFacts(79, 33), at("0:00"))
    assert (live.phase, live.depth.origin, live.bottom_min, live.dive_s) == ("on deck", "planned", 0, None)
    assert isinstance(live.schedule, Schedule)
    assert live.schedule.name == "80/39"
    assert live.next_mark == NextMark("left_surface", None, None)
    assert live.row_left_s is None


def test_going_down(tables: Tables) -> None:
    live = follow(tables, DiveFacts(79, 33, (Mark("left_surface", at("0:00")),)), at("1:00.5"))
    assert (live.phase, live.bottom_min, live.descent_min, live.dive_s) == ("descending", 2, None, 61)
    assert live.next_mark == NextMark("reached_bottom", None, None)
    assert live.row_left_s == 39 * 60 - 61


def test_on_the_bottom(tables: Tables) -> None:
    live = follow(tables, dive(*DOWN), at("19:30"))
    assert (live.phase, live.bottom_min, live.descent_min) == ("on the bottom", 20, 3)
    assert (live.depth.depth, live.depth.origin, live.departure_depth) == (154, "read", 154)
    assert isinstance(live.schedule, Schedule)
    assert (live.schedule.name, live.row_left_s) == ("160/20", 30)
    assert live.next_mark == NextMark("left_bottom", None, at("20:00"))
    assert (live.to_first_stop_s, live.total_ascent_s) == (228, 1708)
    assert live.surface_at == at("47:58")


@pytest.mark.parametrize(
    ("now", "name", "left_s"),
    [
        ("20:00", "160/20", 0),
        ("20:00.001", "160/25", 299),
        ("25:00", "160/25", 0),
        ("25:00.001", "160/30", 299),
    ],
)
def test_the_row_changes_a_millisecond_after_its_minute(
    tables: Tables, now: str, name: str, left_s: int
) -> None:
    """Bottom time is rounded up (USN Rev 4/5, 9-3); the seconds left are rounded down."""
    live = follow(tables, dive(*DOWN), at(now))
    assert isinstance(live.schedule, Schedule)
    assert (live.schedule.name, live.row_left_s) == (name, left_s)


def test_due_times_after_leaving_the_bottom(tables: Tables) -> None:
    live = follow(tables, dive(*LEFT), at("20:10"))
    assert (live.phase, live.bottom_min, live.row_left_s) == ("ascending", 20, None)
    assert due(live) == [
        (40, at("23:48"), at("24:48")),
        (30, at("25:08"), at("28:48")),
        (20, at("29:08"), at("47:48")),
    ]
    assert live.surface_at == at("48:28")
    assert live.next_mark == NextMark("reached_stop", 40, at("23:48"))


def test_late_at_the_first_stop_moves_everything_after_it(tables: Tables) -> None:
    live = follow(tables, dive(*LEFT, ("reached_stop", "24:18", 40)), at("24:30.2"))
    stop = live.stop
    assert stop is not None
    assert (live.phase, stop.depth, stop.starts) == ("at a stop", 40, at("24:18"))
    assert (stop.served_s, stop.remaining_s, stop.wait_s, stop.missing_s) == (12, 48, 0, 0)
    assert live.next_mark == NextMark("left_stop", 40, at("25:18"))
    assert live.surface_at == at("48:58")


def test_early_at_the_first_stop_waits_for_the_travel_time(tables: Tables) -> None:
    """USN Rev 7 as restated second-hand for Rev 6: the stop starts when the travel time has run out."""
    live = follow(tables, dive(*LEFT, ("reached_stop", "23:00", 40)), at("23:10"))
    stop = live.stop
    assert stop is not None
    assert (stop.starts, stop.wait_s, stop.served_s, stop.remaining_s) == (at("23:48"), 38, 0, 60)
    assert live.surface_at == at("48:28")


def test_travel_to_a_later_stop_is_inside_it(tables: Tables) -> None:
    """USN Rev 7, Table 9-9: time to first stop + stops + 0:40 is the printed total."""
    marks: tuple[Taken, ...] = (*LEFT, ("reached_stop", "23:48", 40), ("left_stop", "24:50", 40))
    live = follow(tables, dive(*marks), at("25:00"))
    assert live.phase == "ascending"
    assert live.stops[0].state == "done"
    assert due(live)[1:] == [(30, at("25:10"), at("28:50")), (20, at("29:10"), at("47:50"))]
    arrived = follow(tables, dive(*marks, ("reached_stop", "25:14", 30)), at("25:50"))
    stop = arrived.stop
    assert stop is not None
    assert (stop.starts, stop.served_s, stop.remaining_s) == (at("24:50"), 60, 180)
    assert arrived.surface_at == live.surface_at == at("48:30")


def test_what_is_overdue_pushes_the_surface_back(tables: Tables) -> None:
    arrival = follow(tables, dive(*LEFT), at("24:48"))
    assert arrival.next_mark == NextMark("reached_stop", 40, at("23:48"))
    assert arrival.surface_at == at("49:28")
    overrun = follow(tables, dive(*LEFT, ("reached_stop", "23:48", 40)), at("25:18"))
    assert overrun.next_mark == NextMark("left_stop", 40, at("24:48"))
    assert overrun.stop is not None
    assert (overrun.stop.served_s, overrun.stop.remaining_s) == (90, 0)
    assert overrun.surface_at == at("48:58")


@pytest.mark.parametrize(
    ("left", "state", "missing_s"),
    [
        ("24:48", "done", 0),
        ("24:43", "done", 0),  # 5 s early: within the grace
        ("24:42.999", "left early", 6),
        ("24:18", "left early", 30),
        ("23:48", "left early", 60),
    ],
)
def test_a_stop_left_early_is_reported_and_the_plan_stands(
    tables: Tables, left: str, state: str, missing_s: int
) -> None:
    marks: tuple[Taken, ...] = (*LEFT, ("reached_stop", "23:48", 40), ("left_stop", left, 40))
    live = follow(tables, dive(*marks), at(left))
    assert (live.stops[0].state, live.stops[0].missing_s) == (state, missing_s)
    assert len(live.early) == (1 if missing_s else 0)
    assert live.surface_at == at("48:28")


def test_a_stop_passed_is_missing_whole(tables: Tables) -> None:
    """Its minute still stands before the next stop, from arrival there (station choice)."""
    live = follow(tables, dive(*LEFT, ("reached_stop", "24:08", 30)), at("24:20"))
    assert [(line.depth, line.state, line.missing_s) for line in live.stops] == [
        (40, "passed", 60),
        (30, "here", 0),
        (20, "to come", 0),
    ]
    assert live.stops[1].wait_s == 48
    assert live.surface_at == at("48:48")


def test_straight_to_the_surface_is_a_fact(tables: Tables) -> None:
    """Omitted decompression: the mark counts, and every stop is missing."""
    facts = dive(*DOWN)
    check_mark(tables, facts, Mark("reached_surface", at("20:00")))
    live = follow(tables, dive(*DOWN, ("reached_surface", "20:00")), at("30:00"))
    assert (live.phase, live.bottom_min, live.next_mark) == ("at the surface", 20, None)
    assert [line.missing_s for line in live.stops] == [60, 240, 1140]
    assert (live.surface_at, live.decompression_s, live.dive_s) == (at("20:00"), None, 1200)


def test_surfacing_from_a_stop_without_leaving_it(tables: Tables) -> None:
    """The stop is taken as left the travel time before the surface was reached."""
    marks: tuple[Taken, ...] = (*LEFT, ("reached_stop", "23:48", 40), ("reached_surface", "25:38"))
    live = follow(tables, dive(*marks), at("26:00"))
    assert (live.stops[0].left, live.stops[0].missing_s) == (at("24:18"), 30)
    assert [line.state for line in live.stops] == ["left early", "passed", "passed"]


def test_a_whole_dive_on_time(tables: Tables) -> None:
    """160/20 by hand: every figure of the finished dive."""
    marks: tuple[Taken, ...] = (
        *LEFT,
        ("reached_stop", "23:48", 40),
        ("left_stop", "24:48", 40),
        ("reached_stop", "25:08", 30),
        ("left_stop", "28:48", 30),
        ("reached_stop", "29:08", 20),
        ("left_stop", "47:48", 20),
        ("reached_surface", "48:28"),
    )
    facts = dive()
    for mark in dive(*marks).marks:
        check_mark(tables, facts, mark)
        facts = replace(facts, marks=(*facts.marks, mark))
    live = follow(tables, facts, at("60:00"))
    assert [line.state for line in live.stops] == ["done"] * 3
    assert [line.served_s for line in live.stops] == [60, 240, 1140]
    assert (live.total_ascent_s, live.decompression_s, live.dive_s) == (1708, 1708, 2908)
    assert live.surface_at == at("48:28")
    assert isinstance(live.schedule, Schedule)
    assert live.schedule.group == "L"


def test_broken_off_on_the_way_down(tables: Tables) -> None:
    facts = DiveFacts(150, 20, (Mark("left_surface", at("0:00")),), (Reading(at("0:40"), 29),))
    check_mark(tables, facts, Mark("left_bottom", at("1:00")))
    left = replace(facts, marks=(*facts.marks, Mark("left_bottom", at("1:00"))))
    live = follow(tables, left, at("1:01"))
    assert (live.phase, live.bottom_min, live.stops) == ("ascending", 1, ())
    assert live.next_mark == NextMark("reached_surface", None, at("2:00"))


def test_nobody_goes_down_for_a_stop(tables: Tables) -> None:
    """A diver read at 34 fsw when leaving serves 40 fsw there, with the travel time gone."""
    facts = dive(*LEFT)
    live = follow(tables, replace(facts, readings=(*facts.readings, Reading(at("19:50"), 34))), at("20:00"))
    assert [(line.depth, line.minutes) for line in live.stops] == [(35, 1), (30, 4), (20, 19)]
    assert live.to_first_stop_s == 0
    assert live.next_mark == NextMark("reached_stop", 35, at("20:00"))


def test_without_a_schedule_nothing_is_made_up(tables: Tables) -> None:
    facts = DiveFacts(180, 60, (Mark("left_surface", at("0:00")), Mark("reached_bottom", at("3:00"))))
    live = follow(tables, facts, at("70:30"))
    assert isinstance(live.schedule, NoSchedule)
    assert (live.stops, live.total_ascent_s, live.surface_at, live.ahead) == ((), None, None, None)
    left = replace(facts, marks=(*facts.marks, Mark("left_bottom", at("70:30"))))
    live = follow(tables, left, at("71:00"))
    assert live.next_mark == NextMark("reached_surface", None, None)
    allowed = [depth for name, depth in allowed_marks(tables, live) if name == "reached_stop"]
    assert (allowed[0], allowed[-1]) == (170, 20)
    check_mark(tables, left, Mark("reached_stop", at("75:00"), 90))


def test_the_last_row_and_the_exceptional_row_are_seen_ahead(tables: Tables) -> None:
    marks = (Mark("left_surface", at("0:00")), Mark("reached_bottom", at("3:00")))
    last = follow(tables, DiveFacts(180, 60, marks), at("66:00"))
    assert last.ahead is not None
    assert last.ahead.last_row
    before = follow(tables, DiveFacts(60, 60, marks), at("119:00"))
    assert before.ahead is not None
    assert before.ahead.exceptional_next


def test_cold_or_arduous(tables: Tables) -> None:
    live = follow(tables, replace(dive(*DOWN), lengthened=True), at("19:30"))
    assert isinstance(live.schedule, Schedule)
    assert (live.schedule.name, live.row_left_s) == ("160/25", 30)


@pytest.mark.parametrize(
    ("taken", "mark", "words"),
    [
        ((), ("reached_bottom", "0:00"), "the diver has not left the surface"),
        ((), ("reached_surface", "0:00"), "the diver has not left the surface"),
        ((), ("left_stop", "0:00", 40), "the diver has not left the bottom"),
        (DOWN, ("left_surface", "3:00"), "it was taken at 10:00:00"),
        (DOWN, ("reached_bottom", "3:00"), "it was taken at 10:02:30"),
        (DOWN, ("reached_stop", "3:00", 40), "the diver has not left the bottom"),
        (DOWN, ("left_bottom", "3:00", 150), "only the marks of a stop have a depth"),
        (DOWN, ("left_bottom", "2:29.999"), "10:02:29 is before the last mark, reached bottom at 10:02:30"),
        (LEFT[:1] + LEFT[2:], ("reached_bottom", "20:30"), "the diver left the bottom at 10:20:00"),
        (LEFT, ("left_bottom", "21:00"), "it was taken at 10:20:00"),
        (LEFT, ("reached_stop", "23:48"), "names the depth of the stop"),
        (LEFT, ("reached_stop", "23:48", 50), "stops still to come: 40 fsw, 30 fsw, 20 fsw"),
        (LEFT, ("left_stop", "23:48", 40), "the diver is not at a stop"),
        ((*LEFT, ("reached_stop", "23:48", 40)), ("reached_stop", "24:48", 30), "is at the 40 fsw stop"),
        ((*LEFT, ("reached_stop", "23:48", 40)), ("left_stop", "24:48", 30), "is at the 40 fsw stop"),
        (
            (*LEFT, ("reached_stop", "23:48", 40), ("left_stop", "24:48", 40)),
            ("reached_stop", "25:00", 40),
            "it was taken already",
        ),
        ((*LEFT, ("reached_surface", "25:00")), ("left_surface", "26:00"), "reached the surface at 10:25:00"),
    ],
)
def test_a_wrong_mark_is_refused_in_words(
    tables: Tables, taken: tuple[Taken, ...], mark: Taken, words: str
) -> None:
    with pytest.raises(Refusal) as caught:
        check_mark(tables, dive(*taken), dive(mark).marks[0])
    assert words in caught.value.message


def test_a_refusal_names_the_marks_that_may_come(tables: Tables) -> None:
    with pytest.raises(Refusal) as caught:
        check_mark(tables, dive(*LEFT), Mark("reached_bottom", at("21:00")))
    assert caught.value.missing == (
        "reached stop 40 fsw",
        "reached stop 30 fsw",
        "reached stop 20 fsw",
        "reached surface",
        "held",
    )


def test_no_stop_is_marked_on_a_no_stop_dive(tables: Tables) -> None:
    facts = DiveFacts(60, 30, (Mark("left_surface", at("0:00")), Mark("left_bottom", at("30:00"))))
    with pytest.raises(Refusal, match="no stop is to come"):
        check_mark(tables, facts, Mark("reached_stop", at("31:00"), 20))


def test_only_a_deeper_depth_may_be_declared(tables: Tables) -> None:
    check_declared_depth(tables, dive(*DOWN), 154.5)
    with pytest.raises(Refusal, match=r"154 fsw is not deeper than the depth of this dive, 154 fsw \(read\)"):
        check_declared_depth(tables, dive(*DOWN), 154)


def test_a_moment_before_the_last_mark_counts_as_that_mark(tables: Tables) -> None:
    live = follow(tables, dive(*LEFT), at("5:00"))
    assert (live.now, live.bottom_min) == (at("20:00"), 20)


def test_a_stop_mark_that_is_no_longer_owed_stays_in_sight(tables: Tables) -> None:
    """A reading withdrawn after the mark: the schedule changes, the mark does not vanish."""
    facts = replace(dive(*LEFT, ("reached_stop", "23:48", 40)), readings=(Reading(at("19:00"), 59),))
    live = follow(tables, facts, at("24:00"))
    stop = live.stop
    assert stop is not None
    assert (stop.depth, stop.minutes, stop.missing_s) == (40, 0, 0)
    assert live.next_mark is not None
    assert live.next_mark.name == "left_stop"


def test_stops_in_metres_survive_being_stored_in_feet() -> None:
    """Made-up tables, 15/80: 9 msw 2 min, then 0:10 travel and 6 msw 10 min; 1 msw is 10 kPa."""
    path = Path(__file__).parent.parent / "tables" / "made-up-msw.toml"
    metres, per_fsw = load_tables(path.read_bytes(), path.name), 101.325 / 33 / 10
    facts = DiveFacts(15, 70, (Mark("left_surface", at("0:00")), Mark("left_bottom", at("70:00"))))
    stop = Mark("reached_stop", at("70:20"), 9 / per_fsw * per_fsw + 1e-12)
    check_mark(metres, facts, stop)
    left = Mark("left_stop", at("72:20"), 9 / per_fsw * per_fsw - 1e-12)
    there = replace(facts, marks=(*facts.marks, stop))
    check_mark(metres, there, left)
    live = follow(metres, replace(there, marks=(*there.marks, left)), at("72:25"))
    assert [(line.depth, line.minutes, line.state) for line in live.stops] == [
        (9, 2, "done"),
        (6, 10, "to come"),
    ]
    assert live.stops[1].starts == at("72:30")
    assert live.surface_at == at("82:50")
