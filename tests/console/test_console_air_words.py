"""The air in words: when to turn and the manifold come first, nothing is wider than the room there is."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from station.board.figures import Figures, figures
from station.clock import HandClock
from station.console.words_air import BANK_KEYS, first_lines, gauge_keys, history_lines, other_lines
from station.console.words_paper import ladder_text, where_air_ends
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.setup import load_setup
from station.shipped import shipped
from station.supply.model import MOST_BANKS

if TYPE_CHECKING:
    from station.board.state import Board

Now = tuple["Board", Figures]
Shown = Callable[[Now, int], list[str]]


def played(name: str, mark: str) -> Now:
    """Return the board and the figures of a scenario, 5 s before a mark of it."""
    scenario = load_scenario(shipped("demo") / "ossary-dam" / name)
    clock, setup = HandClock(scenario.file.start), load_setup(scenario.station_path)
    watch = begin_on(MemoryJournal(), setup, clock, title=scenario.file.title, program="test", drill=True)
    player = Player(watch, scenario)
    while player.due is not None and player.due.fields.get("mark") != mark:
        player.play_next(clock)
    clock.advance(5)
    return watch.board, figures(watch.board, clock.now())


@pytest.fixture(scope="module")
def air_ends() -> Now:
    return played("air-ends.toml", "left_bottom")


@pytest.fixture(scope="module")
def primary_lost() -> Now:
    return played("primary-lost.toml", "left_bottom")


def first(now: Now, width: int = 78) -> list[str]:
    return [line.plain for line in first_lines(*now, width)]


def others(now: Now, width: int = 78) -> list[str]:
    return [line.plain for line in other_lines(*now, width)]


def test_when_air_ends_the_dive_it_is_said_first_beside_the_schedules_time(air_ends: Now) -> None:
    """The turn times are those worked out by hand in the drill's file."""
    lines = first(air_ends)
    assert lines[0].startswith("TURN lane 1 07:55:00: leave by 25 min: AIR ends the dive first")
    assert "the schedule holds to 35 min" in lines[1]
    assert lines[3].split() == ["m", "Manifold", "146", "psig", "8:15", "98", "psig", "48", "psi", "--"]
    assert len(lines) == 4


def test_the_sums_come_before_the_reckonings_they_rest_on(air_ends: Now) -> None:
    lines = others(air_ends)
    order = [
        "a> Bank 1    375 psig",
        "leave now: covered",
        "as planned: ONLY BY THE RESERVE",
        "without the primary: covered",
        "to the reserve: 6 min by plan",
        "Bank 1 ON LINE: no trend yet",
        "lane 1: needs 98 psig, margin 48 psi",
        "demand 51 scfm",
        "BANKS over time, psig: a Bank 1, b Bank 2, c Bank 3",
        "USABLE AIR",
        "Bank 1: 61 scf (ideal gas 335 scf, real gas 315 scf, 20 apart; real gas leads",
        "TESTS AND SAMPLES",
    ]
    found = [next(at for at, line in enumerate(lines) if line.startswith(words)) for words in order]
    assert found == sorted(found)


def test_a_lost_bank_is_counted_on_for_nothing(primary_lost: Now) -> None:
    lines = others(primary_lost)
    assert lines[0].startswith("ax Bank 1")
    assert lines[0].split()[-2:] == ["--", "LOST"]
    assert lines[1].startswith("b> Bank 2")
    assert lines[1].endswith("22 min")


@pytest.mark.parametrize("width", [54, 58, 64, 78, 118])
def test_no_line_is_wider_than_its_room_and_the_manifold_stands_within_seven(
    air_ends: Now, primary_lost: Now, width: int
) -> None:
    for now in (air_ends, primary_lost):
        for line in (*first(now, width), *others(now, width)):
            assert len(line) <= width, line
        assert any("Manifold" in line for line in first(now, width)[:7])


def test_what_is_cut_above_the_gauges_stands_in_full_below(air_ends: Now) -> None:
    assert first(air_ends, 44)[2].endswith(" ...")
    full = " ".join(line.strip() for line in others(air_ends, 44))
    assert air_ends[1].air.lines[0] in full


def test_the_pressures_read_are_drawn_with_the_keys_of_their_gauges(primary_lost: Now) -> None:
    """Bank 1 was shut off: what it held is not known, and it is not drawn."""
    lines = history_lines(*primary_lost, 78)
    banks = lines[1 : lines.index("MANIFOLD over time, psig: m Manifold")]
    drawn = "".join(line.split("┤" if "┤" in line else "│", 1)[-1] for line in banks[:-2])
    assert "minimum" in drawn
    drawn = drawn.replace("minimum", "")
    assert {"b", "c"} <= set(drawn)
    assert "a" not in drawn
    assert gauge_keys(primary_lost[1].supply) == {
        "manifold": "m",
        "bank-1": "a",
        "bank-2": "b",
        "bank-3": "c",
    }


def test_the_ladder_tells_what_each_line_needs_and_where_air_ends(air_ends: Now) -> None:
    """The figures are those of the pane: 89 scf over at 07:55, which is the turn time."""
    board, now = air_ends
    lines = [line.plain for line in ladder_text(board, now.lanes[0])]
    assert all(len(line) <= 76 for line in lines)
    assert lines[0].split()[6:] == ["needs", "over", "air", "stops"]
    assert lines[1].split()[-6:] == ["223", "89", "yes", "20", "for", "5"]
    assert lines[2] == where_air_ends()
    assert lines[3].split()[-6:-3] == ["396", "-339", "NOT"]
    assert not any(" yes " in line for line in lines[3:])
    assert lines.count(where_air_ends()) == 1


def test_a_line_that_air_covers_stands_above_where_it_ends(primary_lost: Now) -> None:
    board, now = primary_lost
    lines = [line.plain for line in ladder_text(board, now.lanes[0])]
    assert " yes " in lines[1]
    assert lines.index(where_air_ends()) > 1


def test_every_bank_that_a_supply_file_may_name_has_a_letter_of_its_own() -> None:
    assert len(set(BANK_KEYS)) == MOST_BANKS
