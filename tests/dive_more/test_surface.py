"""Surface decompression on oxygen: periods, their depths, and what an interval leads to."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.dive.schedule import Stop
from station.dive.surface import (
    air_for_lost_oxygen,
    chamber_parts,
    penalty,
    periods_from_air,
    periods_from_oxygen,
    water_stops,
)

TRIES = settings(derandomize=True, max_examples=200, deadline=None)


@pytest.mark.parametrize(
    ("periods", "at_50", "at_40", "at_30"),
    [
        (
            5,
            15,
            105,
            30,
        ),  # second-hand: notes on Rev 6; periods 2 to 4 at 40, later ones at 30
        (0.5, 15, 0, 0),
        (1, 15, 15, 0),
        (1.5, 15, 30, 0),
        (4, 15, 105, 0),
        (4.5, 15, 105, 15),
        (8, 15, 105, 120),
        (0, 0, 0, 0),
    ],
)
def test_where_the_periods_are_breathed(periods: float, at_50: int, at_40: int, at_30: int) -> None:
    found = {part.depth: part.minutes for part in chamber_parts(periods)}
    assert [found.get(depth, 0) for depth in (50, 40, 30)] == [at_50, at_40, at_30]
    assert sum(found.values()) == periods * 30


@pytest.mark.parametrize(
    ("interval", "periods", "kind", "at_50"),
    [
        ((4, 50), 2, "none", 15),  # second-hand: notes on Rev 6, Table 9-3
        ((5, 0), 2, "none", 15),  # limit 5:00
        ((6, 10), 2, "half a period", 30),  # same
        ((7, 0), 2, "half a period", 30),  # not over 7:00
        ((7, 1), 2, "treatment table 5", None),  # 2 periods or fewer
        ((7, 1), 2.5, "treatment table 6", None),  # more
    ],
)
def test_penalty_of_an_interval(
    interval: tuple[int, int], periods: float, kind: str, at_50: int | None
) -> None:
    found = penalty((interval[0] * 60 + interval[1]) * 1000, periods)
    assert (found.kind, found.at_first_min) == (kind, at_50)
    assert "second-hand" in found.words


@pytest.mark.parametrize(("ms", "kind"), [(300_001, "half a period"), (420_001, "treatment table 5")])
def test_a_millisecond_over_a_limit_is_over(ms: int, kind: str) -> None:
    assert penalty(ms, 1).kind == kind


def test_nothing_is_ordered_beyond_seven_minutes() -> None:
    assert penalty(421_000, 1).words.endswith("the supervisor and the medical officer decide")


@TRIES
@given(st.integers(0, 900_000), st.integers(0, 900_000), st.sampled_from([0.5, 1, 2, 2.5, 6]))
def test_a_longer_interval_never_has_a_lighter_penalty(first: int, second: int, periods: float) -> None:
    def weight(interval_ms: int) -> float:
        minutes = penalty(interval_ms, periods).at_first_min
        return float("inf") if minutes is None else minutes

    assert weight(min(first, second)) <= weight(max(first, second))


@pytest.mark.parametrize(
    ("left_min", "periods"),
    [
        (40, 1.5),  # second-hand: notes on Rev 6: 40 x 1.1 / 30 is 1.47, up to the next half period
        (0, 0),
        (1, 0.5),
        (27, 1),
        (28, 1.5),
    ],
)
def test_periods_in_place_of_oxygen_in_the_water(left_min: int, periods: float) -> None:
    assert periods_from_oxygen(left_min * 60) == periods


def test_periods_at_an_exact_half_are_not_rounded_further() -> None:
    """300 s x 1.1 x 30 is 5.5 periods, exactly; binary fractions would make it a hair more."""
    assert periods_from_oxygen(150 * 60) == 5.5
    assert periods_from_oxygen(150 * 60 + 1) == 6


def test_air_left_in_the_water_is_first_turned_into_oxygen() -> None:
    """Second-hand: notes on Rev 6. 20 fsw, 116 min on air, 53 left; its oxygen stop 29 min: 13.25 x 1.1."""
    assert periods_from_air(53 * 60, 116, 29) == 0.5
    assert periods_from_air(19 * 60, 19, 7, later_oxygen_s=29 * 60) == periods_from_oxygen(36 * 60) == 1.5


def test_the_stops_left_in_the_water_end_at_40_fsw() -> None:
    stops = (Stop(50, 7), Stop(40, 26), Stop(30, 28), Stop(20, 303))
    assert water_stops(stops) == stops[:2]
    assert water_stops(stops[2:]) == ()


def test_rev4_oxygen_lost_in_the_chamber() -> None:
    """USN Rev 4 page 9-25, figures of that revision: of 20 min 10 are left; 30 min of air, 3, 6 and 21."""
    stops = air_for_lost_oxygen(20 - 10)
    assert sum(stop.minutes for stop in stops) == 30
    assert stops == (Stop(40, 3), Stop(30, 6), Stop(20, 21))
    assert air_for_lost_oxygen(1) == (Stop(40, 1), Stop(30, 1), Stop(20, 3))
