"""The turn: air and schedule side by side, the earlier leading."""

from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.dive.schedule import NoSchedule, select
from station.files import read_bytes
from station.shipped import shipped
from station.supply.cover import Coverage, Station, cover, stores
from station.supply.load import load_supply
from station.supply.need import OnHose
from station.supply.readings import Reading
from station.supply.turn import CoverageAt, turn
from station.supply.way import Way, demand
from station.tables.load import load_tables

quick = settings(derandomize=True, deadline=None, max_examples=100)


def by_spare(spare: dict[int, int] | int) -> CoverageAt:
    """Return a coverage that is short from a minute on, or as listed; None for minutes not listed."""

    def at(minute: int) -> Coverage | None:
        left = spare - minute if isinstance(spare, int) else spare.get(minute)
        return None if left is None else Coverage(0, 0, 0, left, left, known=True, words="sums")

    return at


class TestWhichLeads:
    def test_air_before_the_schedule(self) -> None:
        found = turn(by_spare(40), 20, 55)
        assert (found.minute, found.leads, found.air_min, found.schedule_min) == (40, "air", 40, 55)
        assert found.words == (
            "leave by 40 min: AIR ends the dive first, a minute more is short by 1 scf; "
            "the schedule holds to 55 min"
        )

    def test_the_schedule_before_the_air(self) -> None:
        found = turn(by_spare(70), 20, 55)
        assert (found.minute, found.leads, found.air_min) == (55, "schedule", 70)
        assert found.words == "leave by 55 min: the schedule ends first; air to 70 min"

    def test_at_the_same_minute_the_schedule_leads(self) -> None:
        assert turn(by_spare(55), 20, 55).leads == "schedule"

    def test_not_even_now(self) -> None:
        found = turn(by_spare(10), 20, 55)
        assert (found.minute, found.leads, found.air_min) == (None, "air", None)
        assert found.words == "NOT COVERED NOW: sums"

    def test_the_last_minute_that_is_covered(self) -> None:
        assert turn(by_spare(20), 20, None).minute == 20

    def test_the_tables_end_before_the_air(self) -> None:
        found = turn(by_spare(dict.fromkeys(range(20, 61), 5)), 20, None)
        assert (found.minute, found.leads, found.schedule_min) == (60, "schedule", 60)

    def test_no_schedule_now(self) -> None:
        assert turn(by_spare({}), 20, None).words == "no schedule, so no ascent to reckon with"

    def test_neither_ends_it(self) -> None:
        found = turn(by_spare(10**6), 20, None, latest_min=480)
        assert (found.minute, found.leads, found.air_open) == (480, "neither", True)

    def test_air_without_an_end_and_a_schedule_with_one(self) -> None:
        assert turn(by_spare(10**6), 20, 55, latest_min=480).minute == 55


TABLES_PATH = shipped("configs") / "tables" / "usn-rev7-air.toml"
TABLES = load_tables(read_bytes(TABLES_PATH), TABLES_PATH.name)
SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
SUPPLY = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
NOW = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)


def by_tables(depth: int, psig: float, now_min: int) -> CoverageAt:
    """Return the air for leaving at a minute by the shipped tables and supply, one diver and the standby."""

    def at(minute: int) -> Coverage | None:
        found = select(TABLES, depth, minute)
        if isinstance(found, NoSchedule):
            return None
        stops = tuple((one.depth, one.minutes) for one in found.stops)
        need = demand(SUPPLY, [Way(OnHose(1, depth), stops, minute - now_min)])
        assert need.psig is not None
        banks = Station({one.id: Reading(psig, NOW) for one in SUPPLY.banks}, NOW)
        return cover(stores(SUPPLY, banks, need.psig, 0), need)

    return at


@pytest.mark.parametrize(("depth", "psig"), [(60, 1200), (90, 1500), (120, 2000), (150, 2800), (190, 2800)])
def test_the_turn_on_the_shipped_tables_is_that_of_a_plain_search(depth: int, psig: float) -> None:
    """Halving relies on a longer stay never needing less; a plain search minute by minute finds the same."""
    at = by_tables(depth, psig, 5)
    plain = 5
    while (found := at(plain + 1)) is not None and found.covered:
        plain += 1
    assert turn(at, 5, None).air_min == plain


@quick
@given(st.sampled_from([60, 90, 120, 150]), st.integers(5, 60), st.floats(500, 2800))
def test_a_minute_more_on_the_bottom_never_leaves_more_air(depth: int, minute: int, psig: float) -> None:
    at = by_tables(depth, psig, 5)
    now, later = at(minute), at(minute + 1)
    if now is not None and later is not None:
        assert later.spare_scf < now.spare_scf
