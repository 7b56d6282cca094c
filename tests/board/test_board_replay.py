"""Random dives on the board: a journal read back gives the same, and the trail tells every change of plan."""

import random
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from station.board.after import trail_of_lane
from station.board.figures import figures
from station.board.fold import fold
from station.dive.follow import Live
from station.dive.order import allowed_marks
from station.dive.trail_lines import schedule_name
from station.errors import Refusal
from station.events import from_text, to_text

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]
SEEDS = (3, 7, 31, 127, 8191, 131071)
STEPS = 24
EARLIER: dict[str, Any] = {
    "lane": 1,
    "surfaced": "2031-06-03T02:00:00Z",
    "group": "F",
    "depth_fsw": 50.0,
    "bottom_min": 30,
    "reason": "told by the diver",
}


def plan(live: Live) -> tuple[Any, ...]:
    return schedule_name(live.schedule), tuple((one.depth, one.minutes) for one in live.stops if one.minutes)


def step(bench: "Bench", rng: random.Random) -> None:
    """Let time pass and enter something that a diver under water brings about."""
    bench.clock.advance(rng.choice((5, 40, 61, 150, 900)) + rng.random())
    live = bench.lane().dive
    allowed = allowed_marks(bench.board.setup.tables, live)
    kind = rng.random()
    try:
        if kind < 0.3:
            bench.enter("depth.read", lane=1, reading_fsw=float(rng.choice((60, 98, 105, 118))))
        elif kind < 0.35:
            bench.enter("schedule.lengthened", "sela", lane=1, reason="cold")
        elif kind < 0.4:
            bench.enter("gas.chosen", "sela", lane=1, gas="air_oxygen", reason="long stop")
        elif allowed and rng.random() < 0.7:
            name, depth = allowed[0] if rng.random() < 0.8 else rng.choice(allowed)
            if name in ("held", "moving"):
                depth = max(1.0, min(live.departure_depth, 60.0))
            fields: dict[str, Any] = {} if depth is None else {"depth_fsw": float(depth)}
            bench.enter("mark.taken", lane=1, mark=name, **fields)
    except Refusal:
        return


@pytest.mark.parametrize("seed", SEEDS)
def test_a_journal_read_back_gives_the_same_figures_and_trail(bench_at: BenchAt, seed: int) -> None:
    bench, rng = bench_at("07:30:30"), random.Random(seed)  # noqa: S311 - no secret hangs on it
    if seed % 4 == 3:
        bench.enter("earlier.stated", "sela", **EARLIER)
    before, since = bench.lane().dive, bench.clock.now()
    for _ in range(STEPS):
        step(bench, rng)
        now = bench.clock.now()
        lines = trail_of_lane(bench.board, bench.board.lanes[1], now)
        after = bench.lane().dive
        if plan(before) != plan(after):
            told = [line for line in lines if line.at >= since]
            assert told, (plan(before), plan(after))
        before, since = after, now
    again = fold(bench.board.setup, [from_text(to_text(event)) for event in bench.board.log])
    later = bench.clock.now() + timedelta(seconds=30)
    assert figures(again, later) == figures(bench.board, later)
    assert trail_of_lane(again, again.lanes[1], later) == trail_of_lane(
        bench.board, bench.board.lanes[1], later
    )
