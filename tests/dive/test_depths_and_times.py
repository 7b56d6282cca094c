"""Corrections, table depths, bottom and descent times, ascent times, by published values."""

from datetime import UTC, datetime, timedelta

import pytest

from station.dive.choices import Choices
from station.dive.depth import DepthOfDive, corrected, departure_depth, depth_of_dive
from station.dive.facts import DiveFacts, Mark, Reading
from station.dive.times import bottom_minutes, descent_minutes, seconds_down, seconds_up
from station.errors import LookUpError
from station.tables.lookup import listed_depth
from station.tables.model import Tables

START = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)


def after(seconds: float) -> datetime:
    return START + timedelta(milliseconds=round(seconds * 1000))


@pytest.mark.parametrize(
    ("reading", "depth", "listed"),
    [
        (152, 154, 160),  # U.S. Navy Diving Manual Rev 4 Change A, 9-7/9-8 example (page 9-12)
        (100, 101, 110),  # same, 9-9 example (page 9-16)
        (101, 103, 110),  # second-hand: study notes restating Rev 6, Table 9-1
        (300, 304, None),  # same; deeper than Rev 7, Table 9-9
        (301, 308, None),  # same
        (0, 1, 10),  # Rev 5 (page transcription), Table 14-2: 0 to 100 adds 1
        (200, 202, 210),  # same table: 101 to 200 adds 2
        (115, 117, 120),
        (78, 79, 80),
        (100.5, 102.5, 110),  # station choice: between two bands the larger correction
    ],
)
def test_pneumofathometer_correction(
    tables: Tables, reading: float, depth: float, listed: int | None
) -> None:
    assert corrected(tables, reading) == depth
    assert listed_depth(tables, depth) == listed


def test_no_correction_beyond_the_last_band(tables: Tables) -> None:
    with pytest.raises(LookUpError, match="no correction is printed for a reading of 401 fsw"):
        corrected(tables, 401)


@pytest.mark.parametrize(
    ("seconds", "minutes"),
    [
        (34 * 60 + 5, 35),  # U.S. Navy Diving Manual Rev 4/5, 9-3: 10:00:00 to 10:34:05
        (34 * 60, 34),
        (34 * 60 + 0.001, 35),
        (33 * 60 + 59.999, 34),
        (0, 0),
        (0.001, 1),
    ],
)
def test_bottom_time_is_rounded_up(seconds: float, minutes: int) -> None:
    assert bottom_minutes(START, after(seconds)) == minutes


def test_descent_time_is_rounded_up() -> None:
    """U.S. Navy Diving Manual Rev 4/5, 9-3: 1:20 down is 2 min."""
    assert descent_minutes(START, after(80)) == 2


def test_seconds_round_to_the_safe_side() -> None:
    assert (seconds_up(1001), seconds_up(1000), seconds_up(0)) == (2, 1, 0)
    assert (seconds_down(1999), seconds_down(-1)) == (1, -1)


@pytest.mark.parametrize(
    ("deep", "shallow", "seconds"),
    [
        (190, 0, 380),  # U.S. Navy Diving Manual Rev 4 Change A, 8-2.2.1 example (page 8-3): 6:20
        (40, 30, 20),  # second-hand: study notes restating Rev 6: 20 s from 40 to 30 fsw
        (115, 30, 170),  # from memory: Rev 6/7, 9-11.3 example: 2:50
        (60.1, 20, 81),  # 80.2 s, rounded up
        (20, 0, 40),  # Rev 7, Table 9-9: 0:40 from 20 fsw
        (20, 30, 0),  # never down
    ],
)
def test_ascent_time(tables: Tables, deep: float, shallow: float, seconds: int) -> None:
    assert tables.file.ascent.travel_s(deep, shallow) == seconds


def facts(*readings: tuple[float, float], declared: float | None = None) -> DiveFacts:
    return DiveFacts(
        planned_depth=60,
        planned_min=30,
        marks=(Mark("left_surface", START),),
        readings=tuple(Reading(after(at), reading) for at, reading in readings),
        declared_depth=declared,
    )


@pytest.mark.parametrize(
    ("dive", "depth"),
    [
        (facts(), DepthOfDive(60, "planned")),
        (facts((60, 51)), DepthOfDive(52, "read")),
        (facts((60, 71), (120, 55)), DepthOfDive(72, "read")),
        (facts((-60, 90)), DepthOfDive(60, "planned")),  # a reading before the surface was left
        (facts((60, 51), declared=65), DepthOfDive(65, "declared")),
        (facts((60, 71), declared=65), DepthOfDive(72, "read")),
        (facts(declared=55), DepthOfDive(60, "planned")),
    ],
)
def test_depth_of_dive(tables: Tables, dive: DiveFacts, depth: DepthOfDive) -> None:
    assert depth_of_dive(tables, dive, Choices()) == depth


def test_planned_depth_may_hold_for_the_whole_dive(tables: Tables) -> None:
    dive, choices = facts((60, 51)), Choices(planned_depth_holds="whole dive")
    assert depth_of_dive(tables, dive, choices) == DepthOfDive(60, "planned")


@pytest.mark.parametrize(
    ("readings", "depth"),
    [
        ([(60, 71), (1000, 40)], 41),
        ([(60, 71), (900, 40)], 41),  # 5:00 old is fresh
        ([(60, 71), (899.999, 40)], 72),  # older: the depth of the dive
        ([(60, 71), (1201, 40)], 72),  # taken after leaving the bottom
    ],
)
def test_departure_depth(tables: Tables, readings: list[tuple[float, float]], depth: float) -> None:
    dive, leaving = facts(*readings), after(1200)
    known = depth_of_dive(tables, dive, Choices())
    assert departure_depth(tables, dive, leaving, known, Choices()) == depth
