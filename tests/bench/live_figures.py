"""All live figures of a station of three lanes, and their ladders, against one tick of the console.

    python tests/bench/live_figures.py [ROUNDS]

One diver is at a stop, one on the bottom, one half dressed: together the dearest moment of a day. Every rung
of every ladder is weighed against the supply. An entry has the order of its lane worked out anew; here that
of all three lanes is, which is more than an entry does.
"""

import sys
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from statistics import median

from dives import in_order, pattern, shifted
from timing import line, median_s, seconds

from station.board.figures import figures
from station.board.fold import fold
from station.board.state import Board
from station.console.app import TICK_S
from station.dive.ascent import Ascent
from station.dive.follow import Live
from station.dive.ladder import Air, air_climb, ladder
from station.events import Event
from station.setup import Setup
from station.supply.need import OnHose
from station.supply.way import Way, demand

ROUNDS = 200
BEGUN = {1: timedelta(0), 2: timedelta(minutes=30), 3: timedelta(minutes=70)}


def station() -> tuple[Setup, list[Event], datetime]:
    """Return the entries and the moment: fifty minutes after the first diver left the surface."""
    kept = pattern()
    left = next(event.at for event in kept.dive if event.kind == "mark.taken")
    now = left + timedelta(minutes=50)
    events = list(kept.opening)
    for lane, later in BEGUN.items():
        events += shifted(kept.dive, later, lane)
    return kept.setup, [event for event in in_order(events) if event.entered <= now], now


def climb_air(board: Board, lane: int, dive: Live) -> Callable[[Ascent, datetime | None], float]:
    """Return what reckons the air of an ascent as the supply does."""
    diver = OnHose(lane, dive.departure_depth)

    def scf(ascent: Ascent, _leave_by: datetime | None) -> float:
        stops = tuple((stop.depth, float(stop.minutes)) for stop in ascent.stops)
        return demand(board.setup.supply, [Way(diver, stops)]).scf

    return scf


def ladders(board: Board, dives: dict[int, Live], now: datetime) -> int:
    """Work out the ladder of every lane; return how many rungs they have."""
    rungs, tables = 0, board.setup.tables
    for number, dive in dives.items():
        mark = board.lanes[number].mark("left_surface")
        air = Air(climb_air(board, number, dive), 5000, now, 30, 500)
        climb = air_climb(tables, dive.departure_depth)
        found = ladder(tables, dive.depth.depth, mark.at if mark else now, now, climb, air=air)
        rungs += len(found.rungs)
    return rungs


def main() -> None:
    """Print the figures."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    setup, events, now = station()
    board = fold(setup, events)
    found = figures(board, now)
    phases = [f"lane {one.lane.number} {one.phase}" for one in found.lanes]
    dives = {one.lane.number: one.dive for one in found.lanes}
    print(f"{', '.join(phases)}; {len(board.log)} entries, {ladders(board, dives, now)} rungs")
    boards = [fold(setup, events) for _ in range(rounds // 4)]
    anew = median(seconds(partial(figures, one, now)) for one in boards)
    live = median_s(lambda: figures(board, now), rounds)
    rungs = median_s(lambda: ladders(board, dives, now), rounds)
    shown = (
        ("live figures", live),
        ("live figures, all orders worked out anew", anew),
        ("ladders with their air", rungs),
        ("everything, all orders worked out anew", anew + rungs),
    )
    for name, took in shown:
        line(name, took, against_s=TICK_S, of=f"a tick of {TICK_S * 1000:.0f} ms")
    print(f"a tick is {TICK_S / (anew + rungs):.0f} times as long as the most that it needs")


if __name__ == "__main__":
    main()
