"""The plan of a dive: every published row, every no-stop limit and group, words and data alike."""

import json
import math
from datetime import UTC, datetime
from pathlib import Path

import pytest

from station.dive.plan_words import plan_json, plan_lines
from station.dive.planning import plan
from station.errors import LookUpError, UsageError
from station.tables.load import load_tables
from station.tables.model import Tables

MADE_UP = Path(__file__).parent.parent / "tables" / "made-up-msw.toml"


def test_every_published_row(tables: Tables) -> None:
    """U.S. Navy Diving Manual Revision 7, Table 9-9: stops, times and group of all 382 rows."""
    rows = tables.file.schedules.rows
    for row in rows:
        found = json.loads(json.dumps(plan_json(tables, plan(tables, row.depth, row.time))))
        assert [[one["depth_fsw"], one["minutes"]] for one in found["stops"]] == [
            list(one) for one in row.air_stops
        ]
        assert found["time_to_first_stop_s"] == row.to_first_stop == found["own_depth_time_to_first_stop_s"]
        assert found["total_ascent_s"] == row.air_total == found["own_depth_total_ascent_s"]
        assert (found["group"], found["exposure"]) == (row.group, row.exposure)
        assert found["table_depth_fsw"] == row.depth
        assert found["table_time_min"] == (row.time if row.air_stops else None)
    assert len(rows) == 382


def test_every_no_stop_limit_and_group(tables: Tables) -> None:
    """Revision 7, Tables 9-7 and 2A-1: each group from its first to its last minute; then stops."""
    for depth, found in tables.no_stop.items():
        begins = 1
        for group, longest in found.row.longest.items():
            for minutes in {begins, longest or 1440}:
                result = plan_json(tables, plan(tables, depth, minutes))
                assert (result["stops"], result["table_time_min"], result["group"]) == ([], None, group)
                assert result["total_ascent_s"] == result["time_to_first_stop_s"] == depth * 2
                assert result["exposure"] == "normal"
            begins = (longest or 0) + 1
        if found.row.limit is not None and depth != 25:
            assert plan(tables, depth, found.row.limit + 1).schedule.stops


def test_a_reading_is_corrected_first(tables: Tables) -> None:
    """Revision 7 by the published rules: 115 read is 117, 52 min goes to 120/55."""
    result = plan(tables, 115, 52, is_reading=True)
    found = plan_json(tables, result)
    assert (found["depth_fsw"], found["schedule"], found["group"]) == (117, "120/55", "Z")
    assert found["total_ascent_s"] == 138 * 60 + 40
    assert found["own_depth_total_ascent_s"] == 138 * 60 + 34
    assert "Depth         115 fsw read, 117 fsw corrected" in plan_lines(tables, result)


def test_clock_times_of_the_stops(tables: Tables) -> None:
    """154 fsw for 20 min by hand: 3:48 to 40 fsw; 1, 4 and 19 min, travel inside; 0:40 to the surface."""
    lines = plan_lines(tables, plan(tables, 154, 20, leave_at=datetime(2026, 5, 4, 10, 20, tzinfo=UTC)))
    assert lines[5:11] == [
        "First travel  3:48 to 40 fsw, leave bottom 10:20:00",
        "Stop            40 fsw    1 min  arrive 10:23:48  leave 10:24:48",
        "Stop            30 fsw    4 min  arrive 10:25:08  leave 10:28:48",
        "Stop            20 fsw   19 min  arrive 10:29:08  leave 10:47:48",
        "Surface       10:48:28",
        "Total ascent  28:28 from 154 fsw (printed for 160 fsw: 28:40)",
    ]


def test_the_words_of_a_no_stop_plan(tables: Tables) -> None:
    assert plan_lines(tables, plan(tables, 79, 33)) == [
        "Tables        Air tables, U.S. Navy Revision 7",
        "Schedule      80/39, no stop",
        "Why           79 fsw goes to 80; 33 min is within the no-stop limit of 39 min (Table 9-7, 80/39)",
        "Exposure      normal exposure",
        "Group         I",
        "First travel  2:38 to surface",
        "Total ascent  2:38 from 79 fsw (printed for 80 fsw: 2:40)",
        "Next row      80/40 after 39 min: 20 fsw 1 min, total 3:40",
    ]


@pytest.mark.parametrize(
    ("depth", "minutes", "words"),
    [
        (60, 120, "Next row      EXCEPTIONAL: 60/130 after 120 min"),
        (180, 70, "Next row      NONE after 70 min: the tables print no schedule for longer"),
        (10, 70, "Next row      none: no limit there"),
        (180, 70, "Group         none printed: no repetitive dive can be computed from it"),
    ],
)
def test_warnings_stand_in_the_words(tables: Tables, depth: float, minutes: int, words: str) -> None:
    assert any(line.startswith(words) for line in plan_lines(tables, plan(tables, depth, minutes)))


@pytest.mark.parametrize(
    ("depth", "minutes"),
    [(0, 5), (-3, 5), (math.nan, 5), (math.inf, 5), (60, 0), (60, -1), (60, 1441)],
)
def test_impossible_figures_are_refused(tables: Tables, depth: float, minutes: int) -> None:
    with pytest.raises(UsageError, match="must be"):
        plan(tables, depth, minutes)


def test_no_schedule_names_the_deeper_row(tables: Tables) -> None:
    with pytest.raises(LookUpError, match=r"no schedule at 180 fsw for 71 min.*190/90.*supervisor"):
        plan(tables, 180, 71)
    with pytest.raises(LookUpError, match=r"deeper than the deepest listed depth, 300 fsw$"):
        plan(tables, 301, 5)
    with pytest.raises(LookUpError, match="no correction"):
        plan(tables, 401, 5, is_reading=True)


def test_tables_in_metres_with_travel_between_stops() -> None:
    """Made-up figures: 15 msw for 70 min, 18 msw/min: 0:20 + 2:00 + 0:10 + 10:00 + 0:20."""
    tables = load_tables(MADE_UP.read_bytes(), MADE_UP.name)
    result = plan(tables, 15, 70)
    found = plan_json(tables, result)
    assert [(one["depth_msw"], one["minutes"]) for one in found["stops"]] == [(9, 2), (6, 10)]
    assert (found["total_ascent_s"], found["table_depth_msw"], found["group"]) == (770, 15, None)
    assert "              NOT FOR DIVING" in plan_lines(tables, result)
