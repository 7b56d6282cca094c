"""What is wrong with the schedule in force: about to step, stepped, the last one, an exceptional one, none.

A step is told in three stages, each by itself: two minutes before, one minute before, and for two minutes
once the next longer schedule holds (station choice).
"""

from collections.abc import Iterator

from station.board.alarms import Alarm
from station.board.state import Board, Lane
from station.dive.follow import Live
from station.dive.schedule import NoSchedule, Schedule, select

STEP_SOON_S = 120
"""A schedule about to change is announced this long before; station choice."""
STEP_NOW_S = 60
"""And once more this long before; station choice."""
STEPPED_MIN = 2
"""The minutes for which a step is told once it was made; station choice."""


def of_schedule(board: Board, lane: Lane, dive: Live) -> Iterator[Alarm]:
    """Yield the alarms of a lane's schedule while the diver is in the water."""
    schedule = dive.schedule
    if isinstance(schedule, NoSchedule):
        words = f"NO SCHEDULE: {schedule.reason}; the supervisor decides"
        yield Alarm("high", "no schedule", words, lane.number)
        return
    if dive.ahead and dive.ahead.last_row and dive.row_left_s is not None:
        yield Alarm("high", "last row", "last schedule of the table is in force: none after it", lane.number)
    if dive.ahead and dive.ahead.exceptional_next and dive.row_left_s is not None:
        words = "exceptional exposure"
        if isinstance(dive.ahead.next, Schedule):
            words = dive.ahead.next.exposure.words
        yield Alarm("high", "exceptional next", f"the next schedule is {words}", lane.number)
    if dive.exceptional:
        words = f"exceptional exposure in force: {schedule.exposure.words}"
        yield Alarm("high", "exceptional", words, lane.number)
    yield from _step(board, lane, dive, schedule)


def _step(board: Board, lane: Lane, dive: Live, schedule: Schedule) -> Iterator[Alarm]:
    left_s = dive.row_left_s
    what = "the no-stop limit ends" if schedule.no_stop else "the next longer schedule begins"
    if left_s is not None and left_s <= STEP_NOW_S:
        yield Alarm("medium", "row ends 1 min", f"{what} within a minute", lane.number)
    elif left_s is not None and left_s <= STEP_SOON_S:
        yield Alarm("medium", "row ends", f"{what} soon", lane.number)
    before = _before(board, lane, dive, schedule)
    if before is None or before.name == schedule.name:
        return
    limit = before.no_stop and not schedule.no_stop
    passed = "the no-stop limit is passed" if limit else "the schedule stepped"
    words = f"{passed}: {schedule.name} is in force, it was {before.name}"
    yield Alarm("medium", "row stepped", words, lane.number)


def _before(board: Board, lane: Lane, dive: Live, schedule: Schedule) -> Schedule | None:
    """Return the schedule that held two minutes ago on the bottom, at the depth that holds now."""
    back = min(STEPPED_MIN, dive.bottom_min - 1)
    if back < 1 or lane.mark("left_bottom") is not None:
        return None
    lengthen = schedule.lengthened != "no"
    found = select(board.setup.tables, schedule.depth, schedule.minutes - back, lengthen=lengthen)
    return found if isinstance(found, Schedule) else None
