"""The shipped tables hold the published figures: by column sums, by samples, by their own check digits."""

from collections import Counter

import pytest

from station.shipped import shipped
from station.tables.load import load_tables
from station.tables.lookup import depth_with_rows, group_reached, listed_depth, row_index, within_no_stop
from station.tables.model import Tables

PATH = shipped("configs") / "tables" / "usn-rev7-air.toml"


@pytest.fixture(scope="module")
def tables() -> Tables:
    return load_tables(PATH.read_bytes(), PATH.name)


def test_the_file_says_what_it_is(tables: Tables) -> None:
    assert tables.unit == "fsw"
    assert tables.file.for_diving
    assert "SS521-AG-PRO-010" in tables.file.source
    assert len(tables.sha256) == 64


def test_schedules_match_the_published_columns(tables: Tables) -> None:
    """U.S. Navy Diving Manual Revision 7, Table 9-9: sums of its columns, so that no figure moves unseen."""
    rows = tables.file.schedules.rows
    assert len(rows) == 382
    assert sum(row.time for row in rows) == 48_690
    assert sum(row.to_first_stop for row in rows) == 58_610
    assert sum(minutes for row in rows for _, minutes in row.air_stops) == 73_396
    assert sum(row.air_total for row in rows) == 4_476_730
    assert sum(minutes for row in rows for _, minutes in row.oxygen_stops or ()) == 25_098
    assert sum(row.oxygen_total or 0 for row in rows) == 1_714_510
    assert sum(row.chamber_periods or 0 for row in rows) == 816
    groups = Counter(row.group for row in rows)
    assert (groups[None], groups["Z"], groups["O"], groups["D"]) == (160, 106, 24, 3)
    classes = Counter(row.exposure for row in rows)
    assert (classes["normal"], classes["exceptional_deep"]) == (59, 44)


def test_other_tables_match_the_published_columns(tables: Tables) -> None:
    """Revision 7, Tables 9-7 with 2A-1, 9-8 with 2A-2, and 9-6: sums of what they print."""
    limits = [found.row for found in tables.no_stop.values()]
    assert len(limits) == 40
    assert sum(row.limit or 0 for row in limits) == 5_397
    assert sum(time or 0 for row in limits for time in row.longest.values()) == 38_092
    residual = {row.depth: row for table in tables.file.residual for row in table.rows}
    marks = [time for row in residual.values() for time in row.times.values()]
    assert len(residual) == 40
    assert sum(time for time in marks if isinstance(time, int)) == 44_493
    assert (marks.count("**"), marks.count("†")) == (24, 2)
    intervals = tables.file.surface_interval
    waits = tables.file.altitude_wait
    assert intervals is not None
    assert waits is not None
    assert (len(intervals.rows), sum(row.at_most for row in intervals.rows)) == (136, 44_833)
    assert sum(sum(row.waits) for row in waits.rows) == 68_750


@pytest.mark.parametrize(
    ("schedule", "stops", "total_s", "group"),
    [  # Revision 7, Table 9-9
        ((60, 65), ((20, 2),), 240, "L"),
        ((120, 55), ((30, 19), (20, 116)), 138 * 60 + 40, "Z"),
        ((160, 20), ((40, 1), (30, 4), (20, 19)), 28 * 60 + 40, "L"),
        ((190, 20), ((60, 1), (50, 2), (40, 6), (30, 7), (20, 34)), 55 * 60, "N"),
        ((200, 5), (), 6 * 60 + 40, "E"),
        ((60, 170), ((20, 178),), 180 * 60, None),
    ],
)
def test_sample_rows(
    tables: Tables,
    schedule: tuple[int, int],
    stops: tuple[tuple[int, int], ...],
    total_s: int,
    group: str | None,
) -> None:
    depth, time = schedule
    row = tables.rows[depth][row_index(tables, depth, time)]
    assert (row.time, row.air_stops, row.air_total, row.group) == (time, stops, total_s, group)


@pytest.mark.parametrize(
    ("depth", "limit"),
    [(60, 63), (100, 25), (30, 371), (31, 334), (190, 5), (10, None)],  # Revision 7, Tables 9-7 and 2A-1
)
def test_no_stop_limits(tables: Tables, depth: int, limit: int | None) -> None:
    assert tables.no_stop[depth].row.limit == limit


@pytest.mark.parametrize(
    ("depth", "minutes", "group"),
    [
        (10, 130, "C"),  # Revision 7, Table 9-7: 102 to 158 min
        (10, 101, "B"),
        (10, 427, "F"),  # "*": the highest group that can be reached
        (10, 9_000, "F"),
        (80, 33, "I"),  # Revision 7, Table 9-7
        (60, 60, "K"),  # same
        (150, 1, "B"),  # same: no column A at 150 fsw
    ],
)
def test_no_stop_groups(tables: Tables, depth: int, minutes: int, group: str) -> None:
    found = within_no_stop(tables, depth, minutes)
    assert found is not None
    assert group_reached(found.row, minutes) == group


def test_repetitive_and_altitude_figures(tables: Tables) -> None:
    """Revision 7, Table 9-8: K after 3:00 (2:38 to 3:29) is H, H at 60 fsw 46 min; Table 9-6, 7,000 ft."""
    intervals = tables.file.surface_interval
    waits = tables.file.altitude_wait
    assert intervals is not None
    assert waits is not None
    after = [row.after for row in intervals.rows if row.group == "K" and row.at_least <= 180 <= row.at_most]
    assert after == ["H"]
    residual = {row.depth: row.times for table in tables.file.residual for row in table.rows}
    assert (residual[60]["H"], residual[60]["G"], residual[60]["D"]) == (46, 40, 24)
    at_7000 = waits.rises_ft.index(7000)
    by_group = {row.group: row.waits[at_7000] for row in waits.rows}
    assert (by_group["D"], by_group["E"], by_group["F"]) == (0, 97, 244)


@pytest.mark.parametrize(
    ("depth", "listed"),
    [
        (0, 10),
        (3, 10),
        (10, 10),
        (30.2, 31),
        (50.000_000_4, 50),
        (50.01, 55),
        (101, 110),
        (221, 250),
        (300, 300),
    ],
)
def test_next_deeper_depth(tables: Tables, depth: float, listed: int) -> None:
    """Never less than the depth asked; the noise of a unit conversion does not count."""
    assert listed_depth(tables, depth) == listed


def test_deeper_than_the_tables(tables: Tables) -> None:
    assert listed_depth(tables, 300.1) is None
    assert depth_with_rows(tables, 25) == 30
    assert depth_with_rows(tables, 31) == 35


def test_every_check_was_made(tables: Tables) -> None:
    """As many comparisons as the published tables have: a check that looks at nothing would pass anything."""
    counts = {made.name: (made.count, made.excepted) for made in tables.checks}
    assert counts["number of stops"] == (764, 0)
    assert counts["air total"] == (382, 0)
    assert counts["oxygen total"] == (382, 1)
    assert counts["first row"] == (20, 0)
    assert counts["groups by depth"][1] == 1
    assert counts["same figures"] == (10, 0)
    assert all(count for count, _ in counts.values())
