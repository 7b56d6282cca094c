"""A long day in one journal: what is over is not worked out again at every tick. Counted, never timed."""

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from station.board import earlier, facts
from station.board.figures import figures
from station.dive.follow import follow

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.board.conftest import Bench


def test_a_dive_that_is_over_is_worked_out_once(
    bench_at: "Callable[[str], Bench]", monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = bench_at("08:40:00")
    worked_out = 0

    def counted(*given: object, **named: object) -> object:
        nonlocal worked_out
        worked_out += 1
        return follow(*given, **named)  # type: ignore[arg-type]

    for room in (facts, earlier):
        monkeypatch.setattr(room, "follow", counted)
    board, now = bench.board, bench.clock.now()
    assert board.lanes[1].mark("reached_surface") is not None
    shown = figures(board, now).lanes[0].dive
    once = worked_out
    for second in range(1, 20):
        later = figures(board, now + timedelta(seconds=second)).lanes[0].dive
        assert later.now == now + timedelta(seconds=second)
        assert later.surface_at == shown.surface_at
    assert worked_out == once


def test_the_last_reading_of_each_gauge_is_looked_for_once_on_a_board(
    bench_at: "Callable[[str], Bench]",
) -> None:
    bench = bench_at("07:40:00")
    board = bench.board
    assert board.latest_supply is board.latest_supply
    bench.enter("supply.read", source="manifold", pressure_psig=145.0)
    assert bench.board.latest_supply["manifold"].pressure_psig == 145
    assert board.latest_supply["manifold"].pressure_psig != 145
