"""Oxygen in the water: totals, breaks, lateness and loss, worked out by hand from Revision 7, Table 9-9."""

from dataclasses import replace
from datetime import datetime
from typing import get_args

import pytest

from station.dive.facts import DiveFacts, Mark
from station.dive.follow import Live, NextMark, follow
from station.dive.order import allowed_marks, check_gas, check_mark
from station.dive.oxygen import OxygenClock, Turn, oxygen_clock
from station.dive.plan_words import ladder_lines, plan_json, plan_lines
from station.dive.planning import plan
from station.dive.schedule import Schedule
from station.errors import LookUpError, Refusal
from station.events import Gas
from station.tables.model import OxygenRules, Tables
from tests.dive.conftest import Taken, at, taken_marks

MIN = 60_000
GASES: tuple[Gas, ...] = get_args(Gas)


def dive(*marks: Taken, depth: float = 120, left: str = "55:00") -> DiveFacts:
    """Return 120/55 on air and oxygen: 30 fsw 10 min, 20 fsw 35 min, one break; 30 fsw is due at 58:00."""
    taken = taken_marks(("left_surface", "0:00"), ("left_bottom", left), *marks)
    return DiveFacts(depth, 60, taken, gas="air_oxygen")


AT_30: tuple[Taken, ...] = (("reached_stop", "58:00", 30), ("on_oxygen", "59:00"))
AT_20: tuple[Taken, ...] = (*AT_30, ("left_stop", "69:00", 30), ("reached_stop", "69:20", 20))


def leaves(live: Live) -> list[datetime]:
    return [line.due_leave for line in live.stops]


def clock(tables: Tables, total: int, now: float, *turns: tuple[float, Turn]) -> OxygenClock:
    rules = tables.file.oxygen
    assert isinstance(rules, OxygenRules)
    return oxygen_clock(rules, total, 0, [(round(at * MIN), turn) for at, turn in turns], round(now * MIN))


def test_every_published_total(tables: Tables) -> None:
    """All 382 rows of Table 9-9: the plan comes to the printed air/oxygen total, but for 170/180.

    That row is printed 0:20 short of its own sum; the file names it.
    """
    off = {}
    for row in tables.file.schedules.rows:
        assert row.oxygen_total is not None
        result = plan(tables, row.depth, row.time, gas="air_oxygen")
        if result.ascent.total_s != row.oxygen_total:
            off[(row.depth, row.time)] = row.oxygen_total - result.ascent.total_s
        assert [(one.depth, one.minutes) for one in result.ascent.stops] == list(row.oxygen_stops or ())
        assert plan_json(tables, result)["total_ascent_s"] == row.oxygen_total
    assert off == {(170, 180): -20}


def test_the_words_of_a_plan_on_oxygen(tables: Tables) -> None:
    lines = plan_lines(tables, plan(tables, 120, 55, gas="air_oxygen"))
    assert "Oxygen        45 min in the water, breaks: 1 x 5 min of air" in lines
    assert "Stop            30 fsw   10 min on oxygen" in lines
    assert "Total ascent  53:40 from 120 fsw (printed for 120 fsw: 53:40)" in lines


def test_the_break_of_a_printed_example(tables: Tables) -> None:
    """Rev 4, page 14-6 (helium-oxygen): 23 min at 30 fsw, 41 at 20: a break 7 min after leaving 30.

    5 min, and the remaining 34 run to the end.
    """
    found = clock(tables, 64, 23, (0, "on"))
    assert (found.planned_breaks, found.next_break_ms) == (1, 30 * MIN)
    assert found.time_at(23 * MIN) == 23 * MIN
    assert found.time_at(64 * MIN) == 69 * MIN
    after = clock(tables, 64, 35, (0, "on"), (30, "off"), (35, "on"))
    assert (after.time_at(64 * MIN), after.next_break_ms) == ((35 + 34) * MIN, None)


@pytest.mark.parametrize(("total", "breaks"), [(30, 0), (35, 0), (36, 1), (65, 1), (66, 2), (95, 2), (96, 3)])
def test_the_last_period_may_run_to_35_minutes(tables: Tables, total: int, breaks: int) -> None:
    """Rev 6/7, 9-8.2, from memory; read in Rev 4, page 14-6 (helium-oxygen)."""
    found = clock(tables, total, 0, (0, "on"))
    assert found.planned_breaks == breaks
    assert found.time_at(total * MIN) == (total + 5 * breaks) * MIN


@pytest.mark.parametrize(
    ("turns", "now", "done"),
    [
        ([(0, "on")], 33, 30 + 3 + 5 + 15),  # three minutes late for the break: pushed back, not counted
        ([(0, "on"), (31, "off"), (37, "on")], 37, 37 + 15),  # back late from it
        ([(0, "on"), (30, "off"), (33, "on")], 33, 35 + 15),  # back early: nothing counts before 5 min
        ([(0, "on"), (29.5, "off"), (34.5, "on")], 34.5, 34.5 + 15.5),  # half a minute early: the break
        ([(0, "on"), (10, "off"), (20, "on")], 20, 20 + 35 + 5),  # off for other reasons: still to come
        ([(0, "on"), (10, "off")], 12, 12 + 35 + 5),
        ([], 4, 4 + 45 + 5),  # not on oxygen yet
    ],
)
def test_the_clock_of_45_minutes(
    tables: Tables, turns: list[tuple[float, Turn]], now: float, done: float
) -> None:
    """One break after 30 min; what its marks being early or late does is a station choice."""
    assert clock(tables, 45, now, *turns).time_at(45 * MIN) == round(done * MIN)


def test_the_stop_runs_from_on_oxygen(tables: Tables) -> None:
    reached = follow(tables, dive(("reached_stop", "58:00", 30)), at("58:40"))
    assert reached.next_mark == NextMark("on_oxygen", None, at("58:40"))
    assert leaves(reached)[0] == at("68:40")
    live = follow(tables, dive(*AT_30), at("60:00"))
    stop = live.stop
    assert stop is not None
    assert (stop.starts, stop.served_s, stop.remaining_s, stop.on_oxygen) == (at("59:00"), 60, 540, True)
    assert live.next_mark == NextMark("left_stop", 30, at("69:00"))
    assert leaves(live) == [at("69:00"), at("109:00")]  # 35 min and the break
    assert live.surface_at == at("109:40")


def test_on_oxygen_before_the_travel_time_has_run_out(tables: Tables) -> None:
    """120 fsw to 30 fsw takes 3:00: second-hand for Rev 6, the stop starts no earlier."""
    live = follow(tables, dive(("reached_stop", "57:00", 30), ("on_oxygen", "57:30")), at("57:40"))
    assert live.stops[0].starts == at("58:00")
    assert leaves(live)[0] == at("68:00")
    assert live.stop is not None
    assert (live.stop.wait_s, live.stop.served_s) == (20, 0)


def test_from_a_stop_on_air_to_the_first_on_oxygen(tables: Tables) -> None:
    """120/70: 40 fsw 13 min on air, then 0:20 outside the stop; 30 fsw 14, 20 fsw 51, one break."""
    marks: tuple[Taken, ...] = (("reached_stop", "72:40", 40), ("left_stop", "85:40", 40))
    live = follow(tables, dive(*marks, left="70:00"), at("85:40"))
    assert live.stops[1].starts == at("86:00")
    assert leaves(live) == [at("85:40"), at("100:00"), at("156:00")]
    assert live.total_ascent_s == 86 * 60 + 40  # as printed


def test_break_and_countdown_at_20_fsw(tables: Tables) -> None:
    live = follow(tables, dive(*AT_20), at("80:00"))
    assert live.next_mark == NextMark("off_oxygen", None, at("89:00"))
    assert live.oxygen is not None
    assert (live.oxygen.served_s, live.oxygen.remaining_s) == (21 * 60, 24 * 60)
    assert (live.oxygen.break_at, live.oxygen.breaks_to_come) == (at("89:00"), 1)
    off = follow(tables, dive(*AT_20, ("off_oxygen", "89:00")), at("90:30"))
    assert off.next_mark == NextMark("on_oxygen", None, at("94:00"))
    assert off.oxygen is not None
    assert (off.oxygen.state, off.oxygen.break_left_s) == ("air break", 210)
    on = follow(tables, dive(*AT_20, ("off_oxygen", "89:00"), ("on_oxygen", "94:00")), at("95:00"))
    assert on.next_mark == NextMark("left_stop", 20, at("109:00"))
    assert on.surface_at == at("109:40")


def test_late_leaving_30_is_taken_off_20(tables: Tables) -> None:
    """Rev 4, page 14-8 (helium-oxygen; air from memory): three minutes late leaves 38 of 41."""
    found = clock(tables, 52, 14, (0, "on"))  # 180/35: 30 fsw 11 min, 20 fsw 41 min
    assert found.time_at(52 * MIN) - 14 * MIN == (38 + 5) * MIN
    marks: tuple[Taken, ...] = (*AT_30, ("left_stop", "72:00", 30), ("reached_stop", "72:20", 20))
    live = follow(tables, dive(*marks), at("73:00"))
    assert leaves(live)[1] == at("109:00")
    assert [one.effect for one in live.deviations] == ["oxygen time"]


def test_late_leaving_20_adds_nothing(tables: Tables) -> None:
    marks: tuple[Taken, ...] = (*AT_20, ("off_oxygen", "89:00"), ("on_oxygen", "94:00"))
    live = follow(tables, dive(*marks, ("left_stop", "115:00", 20)), at("115:00"))
    assert isinstance(live.schedule, Schedule)
    assert (live.schedule.name, live.delay_min) == ("120/55", 0)
    assert live.surface_at == at("115:40")


def test_left_early_on_oxygen(tables: Tables) -> None:
    live = follow(tables, dive(*AT_30, ("left_stop", "67:00", 30)), at("67:00"))
    assert [(line.depth, line.missing_s) for line in live.early] == [(30, 120)]
    assert leaves(live)[1] == at("109:00")  # what is missing is served at 20 fsw


@pytest.mark.parametrize(
    ("marks", "now", "due"),
    [
        # 5 of 10 min served at 30 fsw: 5 x 19/10 = 9.5, 10 min; then 116 min at 20 fsw
        ((*AT_30, ("oxygen_lost", "64:00")), "64:00", ["74:00", "190:00"]),
        # 15 of 45 served: 30 x 116/35 = 99.43, 100 min at 20 fsw
        ((*AT_20, ("oxygen_lost", "74:00")), "74:00", ["69:00", "174:00"]),
        # before any was breathed: the stops on air, from when it was lost (station choice)
        ((("reached_stop", "58:00", 30), ("oxygen_lost", "59:30")), "59:30", ["78:30", "194:30"]),
        # on the way to the first stop: the stops on air
        ((("oxygen_lost", "56:00"),), "56:00", ["77:00", "193:00"]),
    ],
)
def test_oxygen_lost(tables: Tables, marks: tuple[Taken, ...], now: str, due: list[str]) -> None:
    """From memory, Rev 6/7: what is left is multiplied by air stop / oxygen stop, rounded up to minutes."""
    live = follow(tables, dive(*marks), at(now))
    assert leaves(live) == [at(one) for one in due]
    assert live.oxygen is not None
    assert live.oxygen.lost
    assert ("on_oxygen", None) not in allowed_marks(tables, live)


def test_on_oxygen_a_row_is_exceptional_only_once_it_is_lost(tables: Tables) -> None:
    """USN Rev 7, Table 9-9: 120/55 is an exceptional exposure unless on oxygen."""
    assert not follow(tables, dive(*AT_20), at("70:00")).exceptional
    assert follow(tables, dive(*AT_20, ("oxygen_lost", "71:00")), at("72:00")).exceptional
    on_air = follow(tables, replace(dive(), gas="air"), at("56:00"))
    assert on_air.exceptional


def test_a_plan_tells_exceptional_exposure_by_the_gas(tables: Tables) -> None:
    """USN Rev 7, Table 9-9: 120/45 is none, 120/50 and the rows after it are unless on oxygen."""
    told = {}
    for gas in GASES:
        result = plan(tables, 120, 45, gas=gas)
        told[gas] = (
            {one["schedule"] for one in plan_json(tables, result)["ladder"] if one["exceptional"]},
            {line.split()[1].rstrip("<!") for line in ladder_lines(result)[1:-2] if "!" in line},
            any("EXCEPTIONAL: " in line for line in plan_lines(tables, result)),
            plan_json(tables, plan(tables, 120, 55, gas=gas))["exceptional"],
        )
    last = {f"120/{time}" for time in (80, 90, 100, 110, 120)}
    rows = last | {f"120/{time}" for time in (50, 55, 60, 70)}
    assert told["air"] == (rows, rows, True, True)
    assert told["air_oxygen"] == told["surface_oxygen"] == (last, last, False, False)


def test_marks_of_oxygen_in_their_order(tables: Tables) -> None:
    facts = dive(("reached_stop", "58:00", 30))
    with pytest.raises(Refusal, match="is not on it yet"):
        check_mark(tables, facts, Mark("off_oxygen", at("58:30")))
    check_mark(tables, facts, Mark("on_oxygen", at("58:30")))
    with pytest.raises(Refusal, match="this ascent is on air"):
        check_mark(tables, replace(facts, gas="air"), Mark("on_oxygen", at("58:30")))
    on = replace(facts, marks=(*facts.marks, Mark("on_oxygen", at("58:30"))))
    with pytest.raises(Refusal, match="already on oxygen"):
        check_mark(tables, on, Mark("on_oxygen", at("58:40")))
    assert allowed_marks(tables, follow(tables, on, at("58:40")))[0] == ("left_stop", 30)


def test_gas_is_chosen_before_the_first_oxygen_stop(tables: Tables) -> None:
    air = replace(dive(), gas="air")
    check_gas(tables, air, "air_oxygen", at("57:00"))
    with pytest.raises(Refusal, match="on air already"):
        check_gas(tables, air, "air", at("57:00"))
    there = replace(dive(("reached_stop", "58:00", 30)), gas="air")
    with pytest.raises(Refusal, match="before the first oxygen stop"):
        check_gas(tables, there, "air_oxygen", at("58:30"))


def test_tables_without_oxygen(tables: Tables) -> None:
    bare = replace(tables, file=tables.file.model_copy(update={"oxygen": None}))
    with pytest.raises(Refusal, match="print no stops on oxygen"):
        check_gas(bare, replace(dive(), gas="air"), "air_oxygen", at("57:00"))
    found = follow(bare, dive(), at("56:00"))
    assert found.oxygen is None
    rows = {120: tuple(row.model_copy(update={"oxygen_stops": None}) for row in tables.rows[120])}
    none = replace(tables, rows={**tables.rows, **rows})
    with pytest.raises(LookUpError, match="no stops on oxygen for 120/55"):
        plan(none, 120, 55, gas="air_oxygen")
