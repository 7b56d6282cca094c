"""Delays on the way up on air, worked out by hand from the rows of U.S. Navy Revision 7, Table 9-9.

The rule itself: U.S. Navy Diving Manual Revision 6/7, 9-11.3, from memory; the first stop is restated
second-hand by notes on Revision 6. What the rule leaves open is a station choice, and its test says so.
"""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from station.dive.delays import Column, Place, column_before_first, counted_minutes, delay_rules, steps
from station.dive.facts import DiveFacts, Mark, Reading
from station.dive.follow import Live, NextMark, follow
from station.dive.legs import delay_words
from station.dive.schedule import NoSchedule, Schedule, Stop
from station.dive.series import EarlierDive
from station.dive.text import stops_text
from station.dive.trail_lines import Effect, Kind
from station.dive.way import with_extra
from station.tables.load import load_tables
from station.tables.model import Tables
from tests.dive.conftest import START, Taken, at, taken_marks


def dive(depth: float, left: str, *marks: Taken) -> DiveFacts:
    """Return a dive that left the surface at 0:00 and the bottom at `left`, its depth the planned one."""
    taken = taken_marks(("left_surface", "0:00"), ("left_bottom", left), *marks)
    return DiveFacts(depth, 60, taken)


def added(minutes: int) -> EarlierDive:
    """Return a dive so shortly before that its minutes are added."""
    return EarlierDive(START - timedelta(minutes=5), None, 10, minutes, "the dive before")


def plan(live: Live) -> tuple[str, str]:
    assert isinstance(live.schedule, Schedule)
    return live.schedule.name, stops_text([Stop(line.depth, line.minutes) for line in live.stops])


def leaves(live: Live) -> list[datetime]:
    return [line.due_leave for line in live.stops]


def last(live: Live) -> tuple[Kind, int, int, Effect, bool]:
    one = live.deviations[-1]
    return one.kind, one.delay_ms, one.minutes, one.effect, one.running


@pytest.mark.parametrize(
    ("delay_ms", "minutes"),
    [
        (205_000, 4),  # Rev 4, page 14-8 (helium-oxygen): 3:25 counts as 4
        (60_000, 0),  # from memory: up to one minute is ignored
        (60_001, 2),
        (120_000, 2),
        (120_001, 3),
        (0, 0),
        (-5_000, 0),
    ],
)
def test_minutes_counted(tables: Tables, delay_ms: int, minutes: int) -> None:
    assert counted_minutes(delay_rules(tables), delay_ms) == minutes


def test_a_delay_counts_on_at_each_minute(tables: Tables) -> None:
    found = list(steps(delay_rules(tables), 1_000, 181_001))
    assert found == [(2, 61_001), (3, 121_001), (4, 181_001)]


def test_late_to_the_first_stop_deeper(tables: Tables) -> None:
    """115/55, from memory: Rev 6/7, 9-11.3: 6:17 taken, 2:50 required, 3:27 at 100 fsw counts as 4."""
    marks: tuple[Taken, ...] = (
        ("held", "55:30", 100),
        ("moving", "58:57", 100),
        ("reached_stop", "61:17", 30),
    )
    live = follow(tables, dive(115, "55:00", *marks), at("61:17"))
    assert plan(live) == ("120/60", "30:27 20:142")
    assert (live.bottom_min, live.delay_min, live.entered_min) == (55, 4, 59)
    assert last(live) == ("before the first stop", 207_000, 4, "bottom time", False)
    assert leaves(live) == [at("88:17"), at("230:17")]
    assert live.surface_at == at("230:57")


@pytest.mark.parametrize(
    ("now", "expected", "minutes"),
    [
        ("58:50", ("120/55", "30:19 20:116"), 0),  # one minute over 2:50: ignored
        ("58:50.001", ("120/60", "30:27 20:142"), 2),
        ("59:50.001", ("120/60", "30:27 20:142"), 3),
        ("62:50", ("120/60", "30:27 20:142"), 5),
        ("62:50.001", ("120/70", "40:13 30:28 20:190"), 6),
    ],
)
def test_a_travel_still_going_on_counts_already(
    tables: Tables, now: str, expected: tuple[str, str], minutes: int
) -> None:
    live = follow(tables, dive(115, "55:00"), at(now))
    assert plan(live) == expected
    assert (live.delay_min, live.ask_where) == (minutes, minutes > 0)


def test_late_to_the_first_stop_shallower(tables: Tables) -> None:
    """2:14 at 40 fsw counts as 3 and is added to the first stop (from memory; second-hand for Rev 6)."""
    marks: tuple[Taken, ...] = (("held", "57:30", 40), ("moving", "59:44", 40), ("reached_stop", "60:04", 30))
    live = follow(tables, dive(115, "55:00", *marks), at("60:04"))
    assert plan(live) == ("120/55", "30:22 20:116")
    assert (live.delay_min, live.entered_min) == (0, 55)
    assert last(live) == ("before the first stop", 134_000, 3, "first stop", False)
    assert leaves(live) == [at("82:04"), at("198:04")]


def test_the_shallower_rule_on_a_figure_of_revision_4(tables: Tables) -> None:
    """From memory, a Revision 4 example: 2:14 at 40 fsw to a first stop of 2 min makes it 5.

    The stop is Revision 4's, so the rule is tried on the figure and not through the Revision 7 tables.
    """
    minutes = counted_minutes(delay_rules(tables), 134_000)
    assert with_extra((Stop(30, 2), Stop(20, 9)), minutes) == (Stop(30, 5), Stop(20, 9))


@pytest.mark.parametrize(
    ("departure", "places", "column"),
    [
        (115, [], "deeper"),  # not known where: by the departure depth
        (50, [], "deeper"),  # exactly 50 fsw is the deeper column (station choice)
        (49.9, [], "shallower"),
        (115, [(30_000, 100.0, True)], "deeper"),
        (115, [(130_000, 50.0, True)], "deeper"),
        (115, [(135_000, 49.0, True)], "shallower"),
        (115, [(120_000, 60.0, True), (125_000, 60.0, False), (165_000, 40.0, True)], "deeper"),  # several
        (115, [(210_000, 40.0, True)], "shallower"),  # 150 s to 40 fsw: one minute late is let pass
        (115, [(210_001, 40.0, True)], "deeper"),  # more than that was lost somewhere below
        (115, [(400_001, 40.0, True)], "deeper"),  # marked after the moment asked about: not known then
    ],
)
def test_where_a_delay_counts(
    tables: Tables, departure: float, places: list[tuple[int, float, bool]], column: Column
) -> None:
    known = [Place(*one) for one in places]
    assert column_before_first(tables, delay_rules(tables), departure, known, 400_000)[0] == column


def test_an_overrun_of_a_stop_deeper(tables: Tables) -> None:
    """160/45: 60 fsw reached after 3:20 and due to be left at 50:20; left 1:40 late, that counts as 2.

    160/50 has the same 2 min there, which are spent: the diver goes on at once (station choice).
    """
    facts = dive(160, "45:00", ("reached_stop", "48:20", 60), ("left_stop", "52:00", 60))
    live = follow(tables, facts, at("52:00"))
    assert plan(live) == ("160/50", "60:2 50:8 40:19 30:28 20:207")
    assert last(live) == ("leaving a stop", 100_000, 2, "bottom time", False)
    assert live.early == ()
    assert leaves(live)[1:] == [at("60:00"), at("79:00"), at("107:00"), at("314:00")]


def test_a_minute_over_at_a_stop_is_let_pass(tables: Tables) -> None:
    facts = dive(160, "45:00", ("reached_stop", "48:20", 60), ("left_stop", "51:20", 60))
    live = follow(tables, facts, at("51:20"))
    assert plan(live)[0] == "160/45"
    assert last(live) == ("leaving a stop", 60_000, 0, "let pass", False)
    assert leaves(live)[1] == at("56:20")


@pytest.mark.parametrize(
    ("left", "minutes", "missing_s"),
    [
        ("31:30", 2, 150),  # the new schedule asks for 5 min here; gone after 2:30
        ("34:00", 2, 0),  # stayed for it: no further delay (station choice)
        ("35:00", 2, 0),
        ("35:00.001", 4, 0),  # late again
    ],
)
def test_a_new_schedule_may_ask_the_diver_to_stay(
    tables: Tables, left: str, minutes: int, missing_s: int
) -> None:
    """170/25: 50 fsw reached at 29:00, 1 min; over a minute late at 31:00.001: 170/30, 5 min, to 34:00."""
    here = dive(170, "25:00", ("reached_stop", "29:00", 50))
    waits = follow(tables, here, at("31:00.001"))
    assert plan(waits) == ("170/30", "50:5 40:7 30:7 20:77")
    assert waits.next_mark == NextMark("left_stop", 50, at("34:00"))
    gone = replace(here, marks=(*here.marks, Mark("left_stop", at(left), 50)))
    live = follow(tables, gone, at(left))
    assert (live.delay_min, sum(line.missing_s for line in live.early)) == (minutes, missing_s)
    assert plan(live)[0] == "170/30"


def test_an_overrun_of_a_stop_shallower(tables: Tables) -> None:
    """160/20: 40 fsw due to be left at 25:00; left at 28:00, the schedule goes on."""
    facts = dive(160, "20:00", ("reached_stop", "24:00", 40), ("left_stop", "28:00", 40))
    live = follow(tables, facts, at("28:00"))
    assert plan(live) == ("160/20", "40:1 30:4 20:19")
    assert last(live) == ("leaving a stop", 180_000, 3, "none", False)
    assert leaves(live)[1:] == [at("32:00"), at("51:00")]


def test_a_delay_between_stops_deeper(tables: Tables) -> None:
    """160/40: 50 fsw left at 49:40, 40 fsw reached at 51:30, 1:30 late: 42 min, 160/45.

    Its stops at 60 and 50 fsw are ignored; 40 fsw runs from arrival (station choice).
    """
    marks: tuple[Taken, ...] = (
        ("reached_stop", "43:40", 50),
        ("left_stop", "49:40", 50),
        ("reached_stop", "51:30", 40),
    )
    live = follow(tables, dive(160, "40:00", *marks), at("51:30"))
    assert plan(live) == ("160/45", "50:6 40:11 30:28 20:166")
    assert last(live) == ("between stops", 90_000, 2, "bottom time", False)
    assert leaves(live)[1:] == [at("62:30"), at("90:30"), at("256:30")]


@pytest.mark.parametrize(
    ("reached", "left", "effect"),
    [
        ("25:20", "29:00", None),
        ("26:20", "29:00", "let pass"),  # a minute over 0:20: the travel is inside the stop
        ("26:20.001", "30:20.001", "none"),  # longer: from arrival (station choice)
        ("26:50", "30:50", "none"),
    ],
)
def test_a_delay_between_stops_shallower(
    tables: Tables, reached: str, left: str, effect: Effect | None
) -> None:
    """160/20: 40 fsw left at 25:00; 30 fsw, 4 min."""
    marks: tuple[Taken, ...] = (
        ("reached_stop", "24:00", 40),
        ("left_stop", "25:00", 40),
        ("reached_stop", reached, 30),
    )
    live = follow(tables, dive(160, "20:00", *marks), at(reached))
    assert plan(live) == ("160/20", "40:1 30:4 20:19")
    assert leaves(live)[1] == at(left)
    assert [one.effect for one in live.deviations] == ([] if effect is None else [effect])


def test_the_last_stop_to_the_surface_is_recorded_only(tables: Tables) -> None:
    """120/55: 20 fsw left at 193:00; 5:00 late at the surface."""
    marks: tuple[Taken, ...] = (
        ("reached_stop", "58:00", 30),
        ("left_stop", "77:00", 30),
        ("reached_stop", "77:20", 20),
        ("left_stop", "193:00", 20),
        ("reached_surface", "198:40", 0),
    )
    live = follow(tables, dive(120, "55:00", *marks), at("200:00"))
    assert plan(live)[0] == "120/55"
    assert last(live) == ("to the surface", 300_000, 5, "recorded", False)
    assert delay_words(live.deviations[-1], "fsw") == (
        "to the surface, 20 fsw to 0 fsw: 5:00 late, counts as 5 min (recorded)"
    )


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        ("65:00", ("60/63", "no stops")),
        ("65:00.001", ("60/65", "20:2")),  # 62 + 2
        ("68:00", ("60/70", "20:7")),  # 62 + 4
    ],
)
def test_a_no_stop_dive_held_on_the_way_up(tables: Tables, now: str, expected: tuple[str, str]) -> None:
    """60/62: 2:00 to the surface. Its delays always count as bottom time (station choice)."""
    assert plan(follow(tables, dive(60, "62:00"), at(now))) == expected


def test_a_shallow_no_stop_dive_too(tables: Tables) -> None:
    """35/231, 1:10 to the surface, limit 232: 2:01 late counts as 3, 234 min: 35/240, 20 fsw 4 min."""
    assert plan(follow(tables, dive(35, "231:00"), at("234:11"))) == ("35/240", "20:4")


def test_stops_that_come_up_are_taken_from_where_the_diver_is(tables: Tables) -> None:
    live = follow(tables, dive(60, "62:00", ("held", "63:30", 15)), at("65:30"))
    assert plan(live) == ("60/65", "15:2")
    assert live.next_mark == NextMark("reached_stop", 15, at("63:30"))


def test_nobody_goes_down_for_a_new_deeper_stop(tables: Tables) -> None:
    """160/25: 40 fsw due at 29:00, reached 1:30 late: 27 min, 160/30, 50 fsw 2 min and 40 fsw 6 min.

    Second-hand for Rev 6: the missed deeper time is served at the present depth.
    """
    live = follow(tables, dive(160, "25:00", ("reached_stop", "30:30", 40)), at("30:30"))
    assert plan(live) == ("160/30", "40:8 30:7 20:62")
    assert leaves(live) == [at("38:30"), at("45:30"), at("107:30")]
    deeper = follow(tables, dive(160, "25:00", ("reached_stop", "30:10", 50)), at("30:10"))
    assert plan(deeper) == ("160/30", "50:2 40:6 30:7 20:62")
    assert last(deeper)[1:3] == (90_000, 2)  # 3:40 to 50 fsw
    held = follow(tables, dive(160, "25:00", ("held", "28:50", 45)), at("30:30"))
    assert plan(held) == ("160/25", "40:6 30:7 20:35")  # held above 50 fsw: added to the first stop


def test_a_new_deeper_first_stop_is_what_the_diver_is_late_for(tables: Tables) -> None:
    """120/35 has 20:38, travel 3:06; 120/40 has 30:2 and 20:49, travel 2:46: 1:00.001 late becomes 1:20.001.

    The running figure is the one that the mark makes of it.
    """
    assert follow(tables, dive(113, "35:00"), at("39:06")).delay_min == 0
    running = follow(tables, dive(113, "35:00"), at("39:06.001"))
    assert plan(running)[0] == "120/40"
    assert last(running) == ("before the first stop", 80_001, 2, "bottom time", True)
    for moment, minutes in (("39:46", 2), ("39:46.001", 3), ("40:05.999", 3)):
        now = follow(tables, dive(113, "35:00"), at(moment))
        marked = follow(tables, dive(113, "35:00", ("reached_stop", moment, 30)), at(moment))
        assert now.delay_min == marked.delay_min == minutes
        assert leaves(now) == leaves(marked)


def test_held_between_a_new_stop_and_the_planned_one(tables: Tables) -> None:
    """160/30, 50 fsw due at 33:40; held at 55 fsw for 14 min: 45 min, 160/45, its 60 fsw 2 min at 55."""
    live = follow(tables, dive(160, "30:00", ("held", "33:30", 55)), at("47:40.001"))
    assert plan(live) == ("160/45", "55:2 50:5 40:11 30:28 20:166")


def test_held_above_a_stop_that_was_planned(tables: Tables) -> None:
    """160/30: known to be at 45 fsw, the diver has passed the 50 fsw stop."""
    live = follow(tables, dive(160, "30:00", ("held", "33:50", 45)), at("33:50"))
    assert [(line.depth, line.state, line.missing_s) for line in live.stops][:2] == [
        (50, "passed", 120),
        (40, "to come", 0),
    ]


def test_delays_add_up_and_stand_on_the_residual_time(tables: Tables) -> None:
    """160/35 with 5 min of residual nitrogen time is 160/40: 50 fsw after 3:40.

    1:30 late there: 42, 160/45, its 60 fsw 2 min served at 50 in front of 5. 1:30 late to 40 fsw: 44.
    """
    facts = replace(dive(160, "35:00", ("reached_stop", "40:10", 50)), earlier=(added(5),))
    live = follow(tables, facts, at("40:10"))
    assert plan(live) == ("160/45", "50:7 40:11 30:28 20:166")
    assert (live.bottom_min, live.residual_min, live.delay_min, live.entered_min) == (35, 5, 2, 42)
    on = (Mark("left_stop", at("47:10"), 50), Mark("reached_stop", at("49:00"), 40))
    live = follow(tables, replace(facts, marks=(*facts.marks, *on)), at("49:00"))
    assert (live.delay_min, live.entered_min, plan(live)[0]) == (4, 44, "160/45")


def test_a_stop_never_becomes_shorter(tables: Tables) -> None:
    """160/40 overrun at 50 fsw: 160/45 prints 5 min there, the 6 min owed stay (station choice)."""
    facts = dive(160, "40:00", ("reached_stop", "43:40", 50), ("left_stop", "51:10", 50))
    assert plan(follow(tables, facts, at("51:10"))) == ("160/45", "50:6 40:11 30:28 20:166")


def test_past_the_last_row_what_is_owed_stays(tables: Tables) -> None:
    """180/70 is the last row; a delay leaves no schedule, and no stop vanishes (station choice)."""
    before = follow(tables, dive(180, "70:00"), at("70:01"))
    live = follow(tables, dive(180, "70:00"), at("75:00"))
    assert isinstance(live.schedule, NoSchedule)
    assert live.surface_at is None
    assert [(line.depth, line.minutes) for line in live.stops] == [
        (line.depth, line.minutes) for line in before.stops
    ]


def test_a_dive_found_deeper_on_the_way_up(tables: Tables) -> None:
    """160/20, then read at 165 and 2: 167 enters 170/20; 40 fsw 3 min, nothing moves earlier."""
    facts = dive(160, "20:00")
    live = follow(tables, replace(facts, readings=(Reading(at("21:00"), 165),)), at("22:00"))
    assert plan(live) == ("170/20", "40:3 30:6 20:24")
    at_40 = replace(dive(160, "20:00", ("reached_stop", "24:00", 40)), readings=(Reading(at("24:30"), 201),))
    live = follow(tables, at_40, at("24:40"))  # 205 fsw: 210/20, 1 + 3 + 5 + 6
    assert (live.stops[0].depth, live.stops[0].minutes) == (40, 15)


def test_a_reading_on_the_way_up_is_not_the_depth_of_the_dive(tables: Tables) -> None:
    """Nothing was read on the bottom: the planned depth holds on (station choice)."""
    facts = replace(dive(160, "20:00"), readings=(Reading(at("22:00"), 90),))
    assert follow(tables, facts, at("22:30")).depth.depth == 160


def test_tables_without_delays_of_their_own_get_those_of_the_navy() -> None:
    path = Path(__file__).parent.parent / "tables" / "made-up-msw.toml"
    rules = delay_rules(load_tables(path.read_bytes(), path.name))
    assert rules.ignored_up_to_s == 60
    assert rules.deeper_from == pytest.approx(50 * 101.325 / 330)  # 1 msw is 10 kPa, 33 fsw an atmosphere
