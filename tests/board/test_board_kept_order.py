"""The order of a lane is kept between ticks: the same object while nothing changed, never a stale one."""

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

from station.board.facts import facts_of
from station.board.figures import LaneFigures, figures
from station.board.fold import fold
from station.events import Event
from station.outfit import holds, next_steps, open_for_dive, ring, sections
from station.setup import Setup

if TYPE_CHECKING:
    from station.board.state import Board
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]


def straight(board: "Board", found: LaneFigures, bench: "Bench") -> tuple[object, ...]:
    """Return what the outfit's own rules say, with nothing kept."""
    lane, outfit = found.lane, board.setup.outfit
    facts = facts_of(board, lane, bench.clock.now())
    args = (outfit, lane.progress, facts)
    still_open = open_for_dive(*args) if facts.where == "before" else ()
    return sections(*args), next_steps(*args), ring(*args), holds(*args), still_open


def kept(found: LaneFigures) -> tuple[object, ...]:
    return found.parts, found.next_steps, found.ring, found.holds, found.open_for_dive


def test_nothing_is_worked_out_twice_between_two_entries(bench_at: BenchAt) -> None:
    bench = bench_at("07:10:00")
    before = bench.lane()
    bench.clock.advance(0.25)
    after = bench.lane()
    assert all(one is other for one, other in zip(kept(before), kept(after), strict=True))
    assert before.clock != bench.go("07:10:05").lane().clock


def test_every_entry_of_a_dive_shows_at_once(setup: Setup, log: tuple[Event, ...], fresh: "Bench") -> None:
    """After each entry, and looked at twice, the figures are those of the rules themselves."""
    compared = 0
    for so_far in range(1, len(log) + 1):
        board, now = fold(setup, log[:so_far]), max(event.entered for event in log[:so_far])
        fresh.clock.moment = now
        for first, again in zip(figures(board, now).lanes, figures(board, now).lanes, strict=True):
            assert kept(first) == kept(again) == straight(board, first, fresh)
            compared += 1
    assert compared > 100


def test_a_reading_that_grows_old_shows_without_an_entry(bench_at: BenchAt) -> None:
    """The facts alone change: the pressure was read at 07:26, and is too old ten minutes later."""
    bench = bench_at("07:26:05")
    fresh_holds = bench.lane().holds
    assert kept(bench.lane()) == straight(bench.board, bench.lane(), bench)
    bench.clock.advance(timedelta(minutes=20).total_seconds())
    assert kept(bench.lane()) == straight(bench.board, bench.lane(), bench)
    assert bench.lane().holds != fresh_holds


def test_a_folded_board_is_worked_out_for_itself(setup: Setup, bench_at: BenchAt) -> None:
    """Another board of the same entries has a progress of its own, and the same figures."""
    bench = bench_at("07:10:00")
    again = figures(fold(setup, bench.board.log), bench.clock.now()).lanes[0]
    assert kept(again) == kept(bench.lane())
    assert again.parts is not bench.lane().parts
