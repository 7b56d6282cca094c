"""Which alarms are to be noted on the journal now: those that stand against those it knows. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from station.board.alarm_states import AlarmId, AlarmState, AlarmStates, standing
from station.board.alarms import ORDER, Alarm
from station.board.state import Board


@dataclass(frozen=True)
class Changes:
    """What is to be entered: the names of the alarms to clear, and then those to raise."""

    cleared: tuple[AlarmId, ...] = ()
    raised: tuple[Alarm, ...] = ()


def changes(board: Board, stand: Sequence[Alarm], now: datetime) -> Changes:
    """Return what the journal lacks of the alarms that stand at a moment.

    An alarm whose priority rises is raised again. One whose priority falls is cleared and raised at the lower
    one: what is to be done has changed, and wants notice taken (station choice). Nothing is said of a lane
    that is closed. What was raised after that moment, at another screen, is not judged by it.
    """
    worst = _worst(stand)
    raised = tuple(one for one in worst.values() if _open(board, one.lane) and _news(board.alarms, one))
    gone = tuple(
        one.id for one in standing(board.alarms) if one.raised_at <= now and _over(one, worst.get(one.id))
    )
    return Changes(gone, raised)


def _over(known: AlarmState, now: Alarm | None) -> bool:
    return now is None or ORDER.index(now.priority) > ORDER.index(known.priority)


def _worst(stand: Sequence[Alarm]) -> dict[AlarmId, Alarm]:
    """Return the alarms by name, of two of the same name the more urgent."""
    found: dict[AlarmId, Alarm] = {}
    for one in stand:
        before = found.get((one.lane, one.key))
        if before is None or ORDER.index(one.priority) < ORDER.index(before.priority):
            found[(one.lane, one.key)] = one
    return found


def _news(known: AlarmStates, one: Alarm) -> bool:
    state = known.get((one.lane, one.key))
    return state is None or not state.standing or state.priority != one.priority


def _open(board: Board, number: int | None) -> bool:
    lane = board.lanes.get(number or 0)
    return number is None or (lane is not None and not lane.over)
