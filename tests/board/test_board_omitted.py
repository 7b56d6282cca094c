"""What the card of omitted decompression says of a lane, at sea level and at altitude."""

from datetime import UTC, datetime, timedelta

import pytest

from station.board.ascent_figures import omitted_lines
from station.board.state import Lane
from station.dive.facts import DiveFacts, Mark
from station.dive.follow import Live, follow
from station.events import DivePlanned, stamp
from station.outfit.progress import Progress
from station.shipped import shipped
from station.tables.load import load_tables

LEFT = datetime(2031, 6, 3, 7, 30, tzinfo=UTC)
SHIPPED = shipped("configs") / "tables" / "usn-rev7-air.toml"
TABLES = load_tables(SHIPPED.read_bytes(), SHIPPED.name)


def passed_all_stops(depth: float, site_ft: float) -> Live:
    """Return a dive of 33 min, looked up as 140/35, that came straight up."""
    up = LEFT + timedelta(minutes=36)
    marks = (
        Mark("left_surface", LEFT),
        Mark("left_bottom", LEFT + timedelta(minutes=33)),
        Mark("reached_surface", up),
    )
    return follow(TABLES, DiveFacts(depth, 33, marks, site_ft=site_ft), up)


@pytest.mark.parametrize(("depth", "site_ft", "here"), [(138, 0, 40), (100, 8000, 30)])
def test_the_steps_go_by_the_stop_as_it_is_printed(depth: float, site_ft: float, here: float) -> None:
    """140/35 has its first stop at 40 fsw (Revision 7, Table 9-9); at 8,000 ft that lies at 30 fsw.

    Missed deeper than 30 fsw: table 6, whatever the interval (second-hand: notes on Rev 6, Table 9-3).
    """
    dive = passed_all_stops(depth, site_ft)
    assert max(line.depth for line in dive.early) == here
    plan = DivePlanned(
        lane=1,
        diver="joni",
        tenders=("ivo",),
        depth_fsw=depth,
        time_min=33,
        work="x",
        **stamp(LEFT, "sela", "supervisor"),
    )
    lines = omitted_lines(Lane(1, plan, Progress()), dive, "fsw", dive.now)
    assert lines[0].startswith("40 fsw missed: Published step: treatment table 6.")
    assert "return to the stop" not in " ".join(lines).lower()
