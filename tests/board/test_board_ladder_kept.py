"""The ladder that is kept for a minute of bottom time says what the one worked out anew would say."""

from collections.abc import Callable
from datetime import timedelta
from random import Random
from typing import TYPE_CHECKING

from station.board import after
from station.board.after import ladder_of_lane

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]


def test_at_any_moment_in_any_order(bench_at: BenchAt) -> None:
    random = Random(7)  # noqa: S311 - moments to look at, nothing secret
    seen = set()
    for begun in ("07:33:45", "07:50:00"):
        board, moment = bench_at(begun).board, bench_at(begun).clock.now()
        for _ in range(60):
            now = moment + timedelta(milliseconds=random.randrange(600_000))
            kept = ladder_of_lane(board, board.lanes[1], now)
            assert kept == after._ladder_at(board, board.lanes[1], now)
            assert kept is not None
            seen.add(kept.rungs[0].schedule.name)
    assert len(seen) > 2, "the row in force steps within the times that are looked at"


def test_a_rung_runs_out_to_the_second(bench_at: BenchAt) -> None:
    """110/25 holds to 25 min: until 07:55:00 for a dive that left the surface at 07:30:00."""
    board = bench_at("07:53:30").board
    lane = board.lanes[1]
    moment = bench_at("07:53:30").clock.now()
    left = [
        ladder_of_lane(board, lane, moment + timedelta(seconds=later)) for later in (0, 0.25, 1, 29.999, 30)
    ]
    assert [one.rungs[0].left_s for one in left if one is not None] == [90, 89, 89, 60, 60]


def test_none_on_the_way_up(bench_at: BenchAt) -> None:
    bench = bench_at("08:10:00")
    assert ladder_of_lane(bench.board, bench.board.lanes[1], bench.clock.now()) is None
