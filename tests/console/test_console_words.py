"""The lines of the dive's pane on scripted dives: what was reckoned stands there, and what matters most."""

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from station.board.figures import LaneFigures, figures
from station.clock import HandClock
from station.console.layout import fitted
from station.console.words import band_lines, dive_figures, tab
from station.console.words_lane import lane_head, stop_rows
from station.console.words_paper import ladder_text, trail_text
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.setup import load_setup
from station.shipped import shipped

if TYPE_CHECKING:
    from station.board.state import Board

Lines = list[str]


def played(name: str, lane: int, mark: str) -> "tuple[Board, LaneFigures]":
    """Return the board and the lane of a scenario played up to a mark of the lane, 5 s after it."""
    scenario = load_scenario(shipped("demo") / name)
    clock, setup = HandClock(scenario.file.start), load_setup(scenario.station_path)
    watch = begin_on(MemoryJournal(), setup, clock, title=scenario.file.title, program="test", drill=True)
    player = Player(watch, scenario)
    while player.due is not None:
        fields = player.play_next(clock).due.fields
        if (fields.get("lane"), fields.get("mark")) == (lane, mark):
            break
    clock.advance(5)
    return watch.board, figures(watch.board, clock.now()).lanes[lane - 1]


def lines_of(board: "Board", one: LaneFigures, room: int = 20) -> dict[str, str]:
    """Return the lines that have room on a very wide screen, by name."""
    lines = fitted(dive_figures(board, one), 400, room)
    return {line.plain[:10].strip(): line.plain[10:] for line in lines}


@pytest.fixture(scope="module")
def at_altitude() -> "tuple[Board, LaneFigures]":
    return played("tarn-velloch/outlet-works.toml", 1, "left_bottom")


def test_at_altitude_stops_are_told_as_they_are_served(at_altitude: "tuple[Board, LaneFigures]") -> None:
    """The printed 20 fsw stop is served at 16 fsw at 5,200 ft: USN Rev 4, pages 9-38 to 9-44."""
    board, one = at_altitude
    lines = lines_of(board, one)
    assert "16 fsw 38 min" in lines["SCHEDULE"]
    assert lines["SCHEDULE"].endswith("16 fsw 38 min here (table: 20 fsw)")
    assert lines["ALTITUDE"].startswith("5,200 ft: 92 fsw counts as 114.")
    assert lines["EARLIER"] == "E after 4:00 is A, row 120 fsw: 5 min"
    assert lines["ENTERED"] == "33 min = 5 residual + 28 bottom"


def test_where_there_is_no_room_what_matters_least_is_left_out(
    at_altitude: "tuple[Board, LaneFigures]",
) -> None:
    board, one = at_altitude
    whole, few = lines_of(board, one), lines_of(board, one, 5)
    assert list(few) == [name for name in whole if name in few]
    assert {"SCHEDULE", "DEEPEST", "ASCENT"} <= few.keys()
    assert "WHY" in whole
    assert "WHY" not in few
    full = "\n".join(line.plain for line in trail_text(board, one))
    assert one.dive.site.words in full
    assert one.dive.residual.words in full


@pytest.mark.parametrize("width", [46, 60, 78])
def test_a_stop_at_altitude_is_told_as_the_gauge_reads_it(
    at_altitude: "tuple[Board, LaneFigures]", width: int
) -> None:
    """16 fsw at 5,200 ft, taken as 6,000 ft: 6 less on a gauge of one fixed atmosphere, and 1 by its band."""
    board, one = at_altitude
    rows = [row.plain for row in stop_rows(board, one, width, 9)]
    assert rows[0].startswith("16 fsw 38 min")
    assert rows[-1].strip() == "on the gauge 9 fsw, in the table 20 fsw"
    assert max(map(len, rows)) <= width


def test_whose_figures_lead_is_said(at_altitude: "tuple[Board, LaneFigures]") -> None:
    board, one = played("ossary-dam/together.toml", 2, "left_bottom")
    assert lines_of(board, one)["TOGETHER"] == one.dive.leads
    assert "Jona Strand" in one.dive.leads
    assert "TOGETHER" not in lines_of(*at_altitude)


def test_oxygen_and_its_break_are_told_at_the_stop() -> None:
    board, one = played("ossary-dam/oxygen.toml", 1, "off_oxygen")
    words = lines_of(board, one)["OXYGEN"]
    assert words == "air break, 30:00 served, 15:00 to go; AIR BREAK 4:55 left"


@pytest.mark.parametrize(
    ("mark", "told"),
    [
        ("left_bottom", "ascent"),
        ("reached_surface", "to the chamber"),
        ("entered_chamber", "to the chamber"),
        ("reached_chamber_depth", "in the chamber"),
        ("off_chamber_oxygen", "in the chamber"),
        ("surfaced_in_chamber", "to close"),
    ],
)
def test_a_diver_who_is_decompressed_in_a_chamber_is_not_told_as_up(mark: str, told: str) -> None:
    board, one = played("ossary-dam/surface-oxygen.toml", 1, mark)
    assert f"Jona Strand: {told}" in tab(board, one)
    assert lines_of(board, one)["SCHEDULE"].endswith("in the water, 1 chamber period")
    assert lane_head(board, one, in_hand=True).plain == f"> LANE 1 Jona Strand: {told} <"


def test_the_gas_of_the_way_up_is_told_in_words() -> None:
    board, _ = played("ossary-dam/surface-oxygen.toml", 1, "reached_surface")
    lines = [line.plain for line in trail_text(board, figures(board, board.log[-1].at).lanes[0])]
    assert any("going up on air, then oxygen in the chamber" in line for line in lines)


def test_no_figure_of_the_ladder_is_cut_off_on_the_narrowest_screen() -> None:
    board, one = played("ossary-dam/oxygen.toml", 1, "reached_bottom")
    wide, slim = (ladder_text(board, one, width) for width in (78, 56))
    assert max(len(line.plain) for line in slim) <= 56
    figures = {word for line in wide for word in line.plain.split() if word[0].isdigit()}
    left_out = {str(rung.air_scf) for rung in one.ladder.rungs} if one.ladder else set()
    assert figures - left_out <= {word for line in slim for word in line.plain.split()}


@pytest.mark.parametrize("mark", ["reached_bottom", "left_bottom", "reached_stop", "left_stop"])
def test_the_time_of_the_next_mark_stands_whole_beside_the_clock_of_the_narrowest_screen(mark: str) -> None:
    """60 columns less the 26 of the clock and two that stay free."""
    board, one = played("ossary-dam/gate-survey.toml", 1, mark)
    due = one.dive.next_mark.due if one.dive.next_mark else None
    assert due is not None
    line = [*band_lines(board, one, 32)][1].plain
    assert len(line) <= 32
    assert line.endswith(f" {due:%H:%M:%S}")


def test_a_delay_stands_in_words_and_the_ladder_ends_with_the_bottom() -> None:
    board, one = played("ossary-dam/late-deep.toml", 1, "reached_stop")
    assert "late, counts as" in lines_of(board, one)["LATE"]
    told = [line.plain for line in ladder_text(board, one, 56)]
    assert max(map(len, told)) <= 56
    assert " ".join(told) == "The bottom was left: the stops are at the timekeeper's seat (F3)."
    assert any("DELAY BEFORE THE FIRST STOP" in line.plain for line in trail_text(board, one))


@pytest.mark.parametrize(
    ("name", "now", "then"),
    [
        ("overrun", timedelta(hours=1, minutes=22), "180/30: EXCEPTIONAL EXPOSURE, 60 fsw 3 min"),
        ("oxygen", timedelta(hours=1, minutes=42), "120/50: 30 fsw 5 min"),
    ],
)
def test_an_exceptional_row_is_named_by_the_gas(name: str, now: timedelta, then: str) -> None:
    """USN Rev 7, Table 9-9: 180/30 on air; 120/50 and 120/55 are spared on oxygen, 120/80 is not."""
    board, _ = played(f"ossary-dam/{name}.toml", 1, "reached_bottom")
    one = figures(board, board.log[0].at + now).lanes[0]
    assert lines_of(board, one)["THEN"].startswith(then)
    if name == "oxygen":
        rows = {word for line in ladder_text(board, one) for word in line.plain.split()[:1]}
        assert {"120/50", "120/55", "!120/80"} <= rows


def classes(name: str) -> dict[str, str]:
    """Return the class of each row of a ladder, read from the screen."""
    board, one = played(f"ossary-dam/{name}.toml", 1, "reached_bottom")
    lines = [line.plain for line in ladder_text(board, one)]
    at = lines[0].index("class")
    return {line[2:10].strip(): line[at : at + 7].strip() for line in lines if line[2:10].count("/") == 1}


def test_a_row_that_requires_oxygen_says_so_on_air_too() -> None:
    """USN Rev 7, Table 9-9: where a station has no oxygen, EXCEPT alone would hide what is required."""
    air, oxygen = classes("gate-survey"), classes("oxygen")
    assert (air["70/60"], air["70/90"], air["70/100"]) == ("normal", "o2", "EXC O2")
    assert (oxygen["120/50"], oxygen["120/80"]) == ("O2 REQ", "EXC O2")


def test_a_row_that_is_exceptional_for_its_depth_asks_for_no_oxygen() -> None:
    """Deeper than 190 fsw; USN Rev 7, Table 9-9."""
    board, one = played("ossary-dam/gate-survey.toml", 1, "reached_bottom")
    assert one.ladder is not None
    rung = one.ladder.rungs[-1]
    deep = next(kind for kind in board.setup.tables.file.exposures if kind.name == "exceptional_deep")
    rungs = (replace(rung, schedule=replace(rung.schedule, exposure=deep)),)
    told = ladder_text(board, replace(one, ladder=replace(one.ladder, rungs=rungs)))
    assert any(" EXCEPT " in line.plain for line in told)
    assert not any("!" in line.plain and " EXC O2 " in line.plain for line in told)
