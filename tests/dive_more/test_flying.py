"""The wait before going up: which group enters the table, which rise, and until when."""

from datetime import UTC, datetime, timedelta

import pytest

from station.dive.flying import airliner_rise_ft, wait_before_altitude
from station.dive.series import EarlierDive
from station.tables.model import Tables

SURFACED = datetime(2026, 5, 4, 20, 0, tzinfo=UTC)


def dived(group: str | None, hours_before: float = 0, *, exceptional: bool = False) -> EarlierDive:
    at = SURFACED - timedelta(hours=hours_before)
    return EarlierDive(at, group, 60, 30, f"the dive of group {group}", exceptional=exceptional)


@pytest.mark.parametrize(
    ("group", "rise_ft", "wait_min"),
    [
        ("E", 7000, 97),  # USN Rev 7, Table 9-6: 1:37
        ("D", 7000, 0),  # same: none for A to D
        ("F", 7000, 244),  # same: 4:04
        ("J", 8000, 14 * 60 + 13),  # same: 14:13
        ("E", 6001, 97),  # a rise goes up to the next listed one
        ("Z", 10_000, 29 * 60 + 15),  # same table, its last figure
        ("A", 1, 0),
    ],
)
def test_wait_of_a_group_and_a_rise(tables: Tables, group: str, rise_ft: float, wait_min: int) -> None:
    found = wait_before_altitude(tables, [dived(group)], rise_ft)
    assert found.wait_min == wait_min
    assert found.until == (SURFACED + timedelta(minutes=wait_min) if wait_min else None)
    assert found.kind == ("wait" if wait_min else "no wait")


def test_the_heaviest_group_of_the_last_24_hours_enters(tables: Tables) -> None:
    """USN Rev 4 page 9-45: J, then C, into an airliner: J and 8,000 ft. The wait runs from the last dive."""
    found = wait_before_altitude(tables, [dived("J", 8), dived("C")], airliner_rise_ft(0))
    assert (found.group, found.listed_rise_ft) == ("J", 8000)
    assert found.until == SURFACED + timedelta(hours=14, minutes=13)
    assert found.words == (
        "wait 14:13 after 20:00:00, until 2026-05-05 10:13:00: group J, the heaviest of the last 24 h, and a "
        "rise of 8,000 ft (Table 9-6)"
    )


@pytest.mark.parametrize(("hours", "group"), [(24, "J"), (24.01, "C")])
def test_dives_older_than_24_hours_do_not_count(tables: Tables, hours: float, group: str) -> None:
    assert wait_before_altitude(tables, [dived("J", hours), dived("C")], 8000).group == group


@pytest.mark.parametrize(("site_ft", "rise_ft"), [(0, 8000), (2000, 6000), (9000, 0)])
def test_an_airliner_counts_as_8000_ft(site_ft: float, rise_ft: float) -> None:
    """USN Rev 4 page 9-45."""
    assert airliner_rise_ft(site_ft) == rise_ft


def test_an_exceptional_exposure_waits_48_hours(tables: Tables) -> None:
    """From memory: USN Rev 6/7. It stands for a missing group as well."""
    for group in ("Z", None):
        found = wait_before_altitude(tables, [dived(group, exceptional=True)], 1000)
        assert (found.kind, found.until) == ("wait", SURFACED + timedelta(hours=48))
        assert "exceptional exposure" in found.words


def test_the_later_of_both_waits_holds(tables: Tables) -> None:
    dives = [dived("Z", 30, exceptional=True), dived("O")]
    assert wait_before_altitude(tables, dives, 10_000).until == SURFACED + timedelta(hours=28, minutes=19)
    assert wait_before_altitude(tables, dives, 1000).until == SURFACED + timedelta(hours=18)


def test_without_a_group_the_table_cannot_be_used(tables: Tables) -> None:
    """30 fsw for 480 min prints no group and is not an exceptional exposure (USN Rev 7, Table 9-9)."""
    found = wait_before_altitude(tables, [dived(None), dived("B", 3)], 8000)
    assert (found.kind, found.until) == ("no figure", None)
    assert "cannot be used" in found.words


@pytest.mark.parametrize(("group", "rise_ft"), [("B", 10_001), ("Q", 1000)])
def test_no_wait_is_printed(tables: Tables, group: str, rise_ft: float) -> None:
    found = wait_before_altitude(tables, [dived(group)], rise_ft)
    assert (found.kind, found.until) == ("no figure", None)


def test_tables_without_waits_give_no_figure(metres: Tables) -> None:
    assert wait_before_altitude(metres, [dived("A")], 1000).kind == "no figure"


def test_without_a_dive_or_a_rise_there_is_no_wait(tables: Tables) -> None:
    assert wait_before_altitude(tables, [], 8000).kind == "no wait"
    assert wait_before_altitude(tables, [dived(None)], 0).kind == "no wait"
