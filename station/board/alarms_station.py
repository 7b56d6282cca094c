"""What is wrong with the station beside its air: a clock that was set, a diver's observation that runs out.

Neither has a cause that could go away, so each stands until somebody has taken notice of it. The observation
of a diver runs on after the dive was closed, so it is told by the station and not in the lane.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from station.board.alarms import Alarm
from station.board.state import Board, Lane
from station.dive.text import mmss
from station.law.after import ObservedNow
from station.moments import clock_time

ENDS_SOON_S = 300
"""An observation that runs out is announced this long before; station choice."""
TOLD_OVER = timedelta(hours=1)
"""For how long it is told at the most that one is over; station choice."""


def of_clock(board: Board) -> Iterator[Alarm]:
    """Yield every jump of the machine's clock that nobody has taken notice of."""
    for number, jump in enumerate(board.jumps, start=1):
        key = f"clock jumped {number}"
        if not _noticed(board, key):
            words = f"the machine's clock was set by {jump.by_s:+g} s at {clock_time(jump.at)}"
            told = "station time went on; compare it with a second timepiece"
            yield Alarm("medium", key, f"{words}; {told}")


def of_observation(
    board: Board, observed: Iterable[tuple[Lane, ObservedNow | None]], now: datetime
) -> Iterator[Alarm]:
    """Yield the observations that run out soon or are over, of divers who are up."""
    for lane, one in observed:
        if one is None or one.until is None or one.left_s is None or one.left_s > ENDS_SOON_S:
            continue
        who = f"observation of {board.name(lane.plan.diver)} (lane {lane.number})"
        over = f"observation over {lane.number}"
        if one.left_s > 0:
            yield Alarm("low", f"observation ends {lane.number}", f"{who} ends in {mmss(one.left_s)}")
        elif now - one.until <= TOLD_OVER and not _noticed(board, over):
            words = f"{who} is over since {clock_time(one.until)}: look after the diver, then note its end"
            yield Alarm("low", over, words)


def _noticed(board: Board, key: str) -> bool:
    known = board.alarms.get((None, key))
    return known is not None and known.acknowledged is not None
