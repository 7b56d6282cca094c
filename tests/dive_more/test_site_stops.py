"""One stop at altitude and its three depths: in the table, at the site, on the gauge."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.dive.altitude import correction, gauge_depth
from station.dive.choices import Gauge
from station.dive.schedule import Stop
from station.dive.site_stops import SiteStop, reading_at, site_stop, site_stops, stops_here
from station.tables.model import Tables

FIXED: Gauge = "fixed one-atmosphere reference"
ZEROED: Gauge = "zeroed at the site"


def test_a_stop_of_30_fsw_at_8000_ft(tables: Tables) -> None:
    """USN Rev 4 page 9-44: it lies at 22; a fixed gauge reads 8 less there, and 1 by its band."""
    site = correction(tables, 8000, 85)
    assert site_stops(tables, site, (30, 20), FIXED) == (SiteStop(30, 22, 13), SiteStop(20, 15, 6))
    assert site_stops(tables, site, (30,), ZEROED) == (SiteStop(30, 22, 21),)


def test_the_gauge_reads_75_at_84_fsw(tables: Tables) -> None:
    """USN Rev 4 page 9-44, the other way round: 75 read at 7,750 ft is 84."""
    assert reading_at(tables, correction(tables, 7750, 84), 84, FIXED) == 75


@given(
    depth=st.integers(3, 380),
    site_ft=st.integers(1000, 10_000),
    gauge=st.sampled_from([FIXED, ZEROED]),
)
def test_the_gauge_is_never_held_shallower_than_the_stop(
    tables: Tables, depth: int, site_ft: int, gauge: Gauge
) -> None:
    """The least whole fsw that is no shallower: one less would be."""
    site = correction(tables, site_ft, 60)
    found = reading_at(tables, site, depth, gauge)
    assert found is not None
    assert gauge_depth(tables, found, site_ft, gauge) >= depth
    assert found == 0 or gauge_depth(tables, found - 1, site_ft, gauge) < depth


def test_a_stop_is_known_by_its_depth_at_the_site(tables: Tables) -> None:
    site = correction(tables, 5200, 92)
    assert site_stop(tables, site, 16, FIXED) == SiteStop(20, 16, 9)
    assert site_stop(tables, site, 17, FIXED) is None


def test_at_sea_level_all_are_one_and_nothing_is_said(tables: Tables) -> None:
    site = correction(tables, 0, 92)
    assert site_stops(tables, site, (20,), FIXED) == ()
    assert site_stop(tables, site, 20, FIXED) is None
    assert stops_here(site, (Stop(20, 38),), "fsw") == "20 fsw 38 min"


def test_the_words_name_each_depth(tables: Tables) -> None:
    site = correction(tables, 5200, 92)
    assert stops_here(site, (Stop(30, 4), Stop(20, 38)), "fsw") == (
        "24 fsw 4 min, 16 fsw 38 min here (table: 30 fsw, 20 fsw)"
    )
    assert stops_here(site, (), "fsw") == "no stops"
    assert SiteStop(20, 16, 9).words("fsw") == "the table's 20 fsw is 16 fsw here, 9 fsw on the gauge"
    assert SiteStop(20, 16, None).words("fsw") == "the table's 20 fsw is 16 fsw here"


@pytest.mark.parametrize("depth", [408, 500])
def test_beyond_the_bands_no_reading_is_told(tables: Tables, depth: float) -> None:
    assert reading_at(tables, correction(tables, 5200, 92), depth, FIXED) is None
