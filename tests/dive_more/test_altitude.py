"""Dives above sea level: pressure, equivalent depth, stops, gauge and the group on arrival."""

from datetime import UTC, datetime

import pytest

from station.dive.altitude import (
    altitude_of,
    arrival,
    check_altitude,
    correction,
    equivalent_depth,
    gauge_depth,
    pressure_hpa,
)
from station.dive.choices import Gauge
from station.dive.repetitive import residual
from station.dive.schedule import Schedule, select
from station.errors import LookUpError, Refusal
from station.tables.model import Tables

ARRIVED = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
FIXED: Gauge = "fixed one-atmosphere reference"


@pytest.mark.parametrize(("hpa", "feet"), [(850, 4781), (900, 3243)])
def test_altitude_of_a_pressure(hpa: float, feet: float) -> None:
    """ICAO standard atmosphere 1964, tabulated; within 5 ft."""
    assert altitude_of(hpa) == pytest.approx(feet, abs=5)
    assert pressure_hpa(feet) == pytest.approx(hpa, abs=0.2)


def test_pressure_at_8000_ft() -> None:
    """From memory: ICAO formula, 752.6 hPa."""
    assert round(pressure_hpa(8000), 1) == 752.6


def test_equivalent_depth_by_the_worked_pressures() -> None:
    """USN Rev 4 page 9-38: 60 fsw under 843 mb against 1013 mb is 72.1 fsw."""
    assert round(equivalent_depth(60, 843, 1013), 1) == 72.1


@pytest.mark.parametrize(
    ("depth", "site_ft", "row"),
    [
        (85, 8000, 120),  # USN Rev 4 page 9-44, worksheet
        (60, 5000, 80),  # second-hand: web reprint of the sea-level-equivalent table
        (25, 10_000, 40),  # same
        (30, 4000, 35),  # same
        (50, 10_000, 80),  # same
        (90, 10_000, 140),  # same
        (70, 6000, 90),  # same
        (84, 7750, 120),  # the altitude goes up to the next 1,000 ft
    ],
)
def test_depth_that_enters_the_tables(tables: Tables, depth: float, site_ft: float, row: int) -> None:
    found = correction(tables, site_ft, depth)
    assert (found.table_depth, found.applies) == (row, True)
    chosen = select(tables, found.table_depth, 5)
    assert isinstance(chosen, Schedule)
    assert chosen.table_depth == row


def test_the_words_name_every_figure(tables: Tables) -> None:
    assert correction(tables, 4700, 60).words == (
        "60 fsw at 4,700 ft, taken as 5,000 ft, 843.1 hPa, is as deep as 72.1 fsw at sea level; "
        "goes to 80 fsw (USN Rev 4, page 9-38)"
    )


def test_deeper_than_the_tables_stays_deeper(tables: Tables) -> None:
    found = correction(tables, 5000, 290)
    assert found.table_depth == found.equivalent > 300
    assert not isinstance(select(tables, found.table_depth, 5), Schedule)


@pytest.mark.parametrize(
    ("site_ft", "depth", "applies"),
    [
        (0, 190, False),
        (300, 190, False),  # USN Rev 4 page 9-38: no correction to 300 ft
        (301, 145, False),  # same: 300 to 1,000 ft only for deep dives; 145 fsw second-hand
        (301, 145.1, True),
        (999, 145, False),
        (1000, 30, True),  # exactly here: the safer reading
        (-1300, 190, False),
    ],
)
def test_where_a_correction_applies(tables: Tables, site_ft: float, depth: float, applies: bool) -> None:  # noqa: FBT001
    found = correction(tables, site_ft, depth)
    assert found.applies is applies
    if not applies:
        assert (found.table_depth, found.stop_depth(30)) == (depth, 30)


def test_above_10000_ft_is_refused(tables: Tables) -> None:
    """USN Rev 4 page 9-41: the medical officer."""
    check_altitude(10_000)
    for call in (lambda: check_altitude(10_001), lambda: correction(tables, 10_000.5, 60)):
        with pytest.raises(Refusal, match="medical officer"):
            call()


def test_stop_depths_go_to_the_nearest_foot(tables: Tables) -> None:
    """USN Rev 4 page 9-44: 30 fsw at 8,000 ft is 22. The 20 fsw stops from memory of the printed row."""
    assert correction(tables, 8000, 85).stop_depth(30) == 22
    found = [correction(tables, feet, 60).stop_depth(20) for feet in range(1000, 11_000, 1000)]
    assert found == [19, 19, 18, 17, 17, 16, 15, 15, 14, 14]


def test_a_fixed_gauge_reads_shallow(tables: Tables) -> None:
    """USN Rev 4 page 9-44: 75 read at 7,750 ft, + 8, + 1, is 84; entered as 85, that is 120."""
    assert gauge_depth(tables, 75, 7750, FIXED) == 84
    assert correction(tables, 7750, 84).table_depth == 120


@pytest.mark.parametrize(("reading", "site_ft", "depth"), [(75, 300, 76), (95, 8000, 105), (75, 400, 77)])
def test_the_band_of_the_gauge_is_that_of_the_sum(
    tables: Tables, reading: float, site_ft: float, depth: float
) -> None:
    assert gauge_depth(tables, reading, site_ft, FIXED) == depth


def test_a_gauge_zeroed_at_the_site_needs_only_its_own_correction(tables: Tables) -> None:
    assert gauge_depth(tables, 75, 8000, "zeroed at the site") == 76


def test_a_reading_beyond_the_bands_is_refused(tables: Tables) -> None:
    with pytest.raises(LookUpError):
        gauge_depth(tables, 398, 8000, FIXED)


@pytest.mark.parametrize(
    ("site_ft", "from_ft", "group"),
    [
        (1000, 0, "A"),  # USN Rev 7, Table 9-5
        (2000, 0, "A"),  # same
        (6000, 0, "E"),  # same
        (8000, 0, "G"),  # same
        (10_000, 0, "I"),  # same
        (7001, 0, "G"),  # up to the next listed altitude
        (8000, 3000, "D"),  # between two altitudes the difference enters: Rev 4, page 9-41
        (301, 0, "A"),
        (300, 0, None),
        (5000, 5000, None),
        (8000, 9000, None),
    ],
)
def test_group_on_arrival(tables: Tables, site_ft: float, from_ft: float, group: str | None) -> None:
    found = arrival(tables, ARRIVED, site_ft, from_ft)
    assert (found.group if found else None) == group


@pytest.mark.parametrize(("site_ft", "group"), [(6000, "E"), (8000, "F")])
def test_rev4_group_on_arrival(rev4: Tables, site_ft: float, group: str) -> None:
    """USN Rev 4, Table 9-4 (page 9-41), on figures of that revision."""
    found = arrival(rev4, ARRIVED, site_ft)
    assert found is not None
    assert found.group == group


def test_rev4_repetitive_dive_at_altitude(rev4: Tables) -> None:
    """USN Rev 4 page 9-44, on figures of that revision: F, 5 h, 120 fsw for 60 min is B, 6, 66, 120/70."""
    came = arrival(rev4, ARRIVED, 7750)
    assert came is not None
    depth = correction(rev4, 7750, gauge_depth(rev4, 75, 7750, FIXED)).table_depth
    left = residual(rev4, [], ARRIVED.replace(hour=11), depth, arrival=came)
    assert (came.group, left.new_group, left.minutes, depth) == ("F", "B", 6, 120)
    chosen = select(rev4, depth, 60 + 6)
    assert isinstance(chosen, Schedule)
    assert chosen.name == "120/70"


def test_an_altitude_without_a_printed_group_is_refused(tables: Tables, metres: Tables) -> None:
    for some, site_ft in ((tables, 10_001), (metres, 2000)):
        with pytest.raises(LookUpError, match="medical officer"):
            arrival(some, ARRIVED, site_ft)


def test_stops_in_metres_go_to_the_nearest_tenth(metres: Tables) -> None:
    """Station choice: a foot is too coarse a step for metres. 6 x 843.07 / 1013.25 is 4.99."""
    found = correction(metres, 5000, 12)
    assert (found.stop_depth(6), found.stop_depth(9), found.table_depth) == (5.0, 7.5, 15)
