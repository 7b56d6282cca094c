"""Selection of a schedule: next deeper, next longer, no schedule, cold or arduous, what comes next."""

from dataclasses import replace
from typing import get_args

import pytest

from station.dive.schedule import NoSchedule, Schedule, ahead, select
from station.dive.text import stops_text
from station.events import Gas
from station.tables.model import Tables

GASES: tuple[Gas, ...] = get_args(Gas)


def chosen(tables: Tables, depth: float, minutes: int, *, lengthen: bool = False) -> Schedule:
    found = select(tables, depth, minutes, lengthen=lengthen)
    assert isinstance(found, Schedule)
    return found


@pytest.mark.parametrize(
    ("depth", "minutes", "expected"),
    [
        (117, 52, ("120/55", "30:19 20:116", "Z")),  # Rev 7, Table 9-9, next deeper and next longer
        (154, 20, ("160/20", "40:1 30:4 20:19", "L")),  # same
        (115, 59, ("120/60", "30:27 20:142", "Z")),  # same; from memory: Rev 6/7, 9-11.3 example
        (79, 33, ("80/39", "no stops", "I")),  # Rev 7, Table 9-7
        (60, 60, ("60/63", "no stops", "K")),  # same
        (60, 64, ("60/65", "20:2", "L")),  # Rev 7, Table 9-9
        (80, 40, ("80/40", "20:1", "J")),  # NOAA, Part Three, brief surface interval: schedule 80/40
        (10, 130, ("10/unlimited", "no stops", "C")),  # Rev 7, Table 9-7: 102 to 158 min
        (2, 10, ("10/unlimited", "no stops", "A")),  # less than 10 fsw uses 10
        (31, 334, ("31/334", "no stops", "Z")),  # Rev 7, Table 2A-1
        (31, 335, ("35/360", "20:88", None)),  # past it, the next depth with schedules
        (200, 3, ("200/5", "no stops", "E")),  # Rev 7, Table 9-9: deeper than Table 9-7
        (60.5, 30, ("70/48", "no stops", "G")),
        (0, 0, ("10/unlimited", "no stops", "A")),
    ],
)
def test_selection(tables: Tables, depth: float, minutes: int, expected: tuple[str, str, str | None]) -> None:
    found = chosen(tables, depth, minutes)
    assert (found.name, stops_text(found.stops), found.group) == expected


def test_past_the_last_time_at_25_fsw_the_30_fsw_rows_apply(tables: Tables) -> None:
    """Rev 7, Table 9-7: 25 fsw ends at 1,102 min; the 30 fsw rows end before, so no schedule is left."""
    assert chosen(tables, 25, 1102).group == "Z"
    found = select(tables, 25, 1103)
    assert isinstance(found, NoSchedule)
    assert found.reason == "no schedule at 30 fsw for 1103 min: the longest there is 720 min"


@pytest.mark.parametrize(
    ("minutes", "fallback"), [(71, "190/90"), (90, "190/90"), (91, "190/120"), (120, "190/120")]
)
def test_a_deeper_row_that_lists_the_time_is_shown_as_fallback(
    tables: Tables, minutes: int, fallback: str
) -> None:
    """Rev 7, Table 9-9: 180 fsw ends at 70 min, 190 fsw has rows for 90 and 120 min."""
    found = select(tables, 180, minutes)
    assert isinstance(found, NoSchedule)
    assert found.fallback is not None
    assert found.fallback.name == fallback
    assert "the longest there is 70 min" in found.reason


@pytest.mark.parametrize(("depth", "minutes"), [(180, 121), (190, 121), (301, 1), (300.5, 5), (300, 26)])
def test_no_schedule_and_no_fallback(tables: Tables, depth: float, minutes: int) -> None:
    found = select(tables, depth, minutes)
    assert isinstance(found, NoSchedule)
    assert found.fallback is None


@pytest.mark.parametrize(
    ("depth", "minutes", "name", "lengthened"),
    [
        (120, 52, "120/60", "yes"),
        (60, 20, "60/65", "yes"),  # within the limit: the first row with stops not shorter than the time
        (60, 63, "60/65", "yes"),
        (60, 64, "60/70", "yes"),
        (31, 300, "35/300", "yes"),
        (200, 3, "200/10", "yes"),
        (190, 120, "190/120", "no longer row"),
        (10, 50, "10/unlimited", "no longer row"),
    ],
)
def test_cold_or_arduous_takes_the_next_longer_row(
    tables: Tables, depth: float, minutes: int, name: str, lengthened: str
) -> None:
    """NOAA Diving Center, US Navy tables, Part Three; the supervisor's decision only."""
    found = chosen(tables, depth, minutes, lengthen=True)
    assert (found.name, found.lengthened) == (name, lengthened)


def test_a_lengthened_schedule_holds_as_long_as_the_row_it_replaces(tables: Tables) -> None:
    assert chosen(tables, 60, 20, lengthen=True).holds_to_min == 63
    assert chosen(tables, 120, 52, lengthen=True).holds_to_min == 55


@pytest.mark.parametrize(
    ("depth", "minutes", "following", "alarm"),
    [
        (60, 30, "60/65", None),
        (60, 120, "60/130", "exceptional next"),  # Rev 7, Table 9-9: the first exceptional row there
        (60, 130, "60/140", None),  # entered already
        (200, 4, "200/10", None),
        (180, 70, None, "last row"),
        (190, 60, "190/90", None),
    ],
)
def test_what_comes_next(
    tables: Tables, depth: float, minutes: int, following: str | None, alarm: str | None
) -> None:
    found = ahead(tables, chosen(tables, depth, minutes), "air")
    assert (found.exceptional_next, found.last_row) == (alarm == "exceptional next", alarm == "last row")
    assert (found.next.name if isinstance(found.next, Schedule) else None) == following


@pytest.mark.parametrize(
    ("depth", "minutes", "on"),
    [
        (60, 120, set()),  # printed as recommended on oxygen: never exceptional
        (60, 130, {"air"}),  # unless on either oxygen
        (120, 55, {"air"}),
        (40, 540, {"air", "air_oxygen", "surface_oxygen"}),  # 80 min of oxygen in the water, 91:20 in all
        (40, 720, {"air", "air_oxygen", "surface_oxygen"}),  # 4.5 periods in the chamber
        (200, 10, {"air", "air_oxygen", "surface_oxygen"}),  # deeper than 190 fsw
    ],
)
def test_whether_a_row_is_exceptional_goes_by_the_gas(
    tables: Tables, depth: float, minutes: int, on: set[Gas]
) -> None:
    """USN Rev 7, Table 9-9, class and times as printed; where its names leave room, the safer reading."""
    found = chosen(tables, depth, minutes)
    assert {gas for gas in GASES if found.exceptional_on(gas)} == on


def test_rows_spared_on_oxygen_stay_within_the_limits_of_a_normal_exposure(tables: Tables) -> None:
    """Second-hand, notes on USN Rev 6: over 90 min in the water, or over 4 periods, is exceptional."""
    rows = [row for rows in tables.rows.values() for row in rows]
    spared = [row for row in rows if tables.exposures[row.exposure].unless_on]
    assert len(spared) == 101
    for row in spared:
        assert row.oxygen_total is not None
        assert row.chamber_periods is not None
        assert row.oxygen_total <= 90 * 60 < row.air_total
        assert row.chamber_periods <= 4
    kept = [row for row in rows if row.exposure == "exceptional_surface_o2_required"]
    assert all(row.chamber_periods is not None and row.chamber_periods > 4 for row in kept)


def test_a_row_with_nothing_printed_on_a_gas_counts_as_on_air(tables: Tables) -> None:
    found = replace(chosen(tables, 120, 55), oxygen_stops=None, chamber_periods=None)
    assert [found.exceptional_on(gas) for gas in GASES] == [True, True, True]


@pytest.mark.parametrize(("gas", "told"), [("air", True), ("air_oxygen", False), ("surface_oxygen", False)])
def test_an_exceptional_row_ahead_is_told_by_the_gas(tables: Tables, gas: Gas, *, told: bool) -> None:
    """USN Rev 7, Table 9-9: 120/45 is recommended on oxygen, 120/50 exceptional unless on it."""
    found = ahead(tables, chosen(tables, 120, 45), gas)
    assert isinstance(found.next, Schedule)
    assert (found.next.name, found.exceptional_next) == ("120/50", told)


def test_on_oxygen_the_first_row_exceptional_on_it_too_is_told_ahead(tables: Tables) -> None:
    """USN Rev 7, Table 9-9: 40/480 is exceptional unless on oxygen, 40/540 prints another class."""
    assert ahead(tables, chosen(tables, 40, 480), "air_oxygen").exceptional_next
    assert not ahead(tables, chosen(tables, 40, 480), "air").exceptional_next  # entered already


def test_nothing_comes_next_without_a_limit(tables: Tables) -> None:
    assert ahead(tables, chosen(tables, 15, 600), "air").next is None


@pytest.mark.parametrize(
    ("depth", "minutes", "why"),
    [
        (79, 33, "79 fsw goes to 80; 33 min is within the no-stop limit of 39 min (Table 9-7, 80/39)"),
        (117, 52, "117 fsw goes to 120; 52 min goes to 55 (Table 9-9, 120/55)"),
        (120, 55, "120 fsw is listed; 55 min is listed (Table 9-9, 120/55)"),
        (10, 50, "10 fsw is listed; 50 min: no limit there (Table 9-7, 10/unlimited)"),
    ],
)
def test_every_schedule_says_which_row_and_why(tables: Tables, depth: float, minutes: int, why: str) -> None:
    assert chosen(tables, depth, minutes).why == why


def test_every_row_deeper_than_190_is_exceptional(tables: Tables) -> None:
    """Rev 7, Table 9-9; second-hand: notes on Rev 6 name the depth."""
    rows = [row for depth in tables.row_depths if depth > 190 for row in tables.rows[depth]]
    assert rows
    assert all(chosen(tables, row.depth, row.time).exposure.exceptional for row in rows)
