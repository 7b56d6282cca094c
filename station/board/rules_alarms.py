"""What may be entered about alarms: no raise of what stands, no end of or notice taken of what does not.

Whoever joined as supervisor, timekeeper or tender may acknowledge (station choice): whoever hears an alarm
first says so, and the name stands beside it. Alarms have no ground but the moment at which they stood, so no
correction made later takes it from them.
"""

from collections.abc import Callable
from typing import Any, Final

from station.board.alarm_states import AlarmEvent, AlarmState
from station.board.case import Case
from station.errors import Refusal
from station.events import AlarmAcknowledged, AlarmCleared, AlarmRaised, Priority, Role

RANKS: Final[dict[Priority, int]] = {"low": 1, "medium": 2, "high": 3}
MAY_ACKNOWLEDGE: Final[tuple[Role, ...]] = ("supervisor", "timekeeper", "tender")


def _raised(case: Case, event: AlarmRaised) -> None:
    if case.afterwards:
        return
    _lane_open(case, event)
    lane = case.board.lanes.get(event.lane or 0)
    if event.lane is not None and lane is None:
        raise Refusal(f"there is no lane {event.lane}; plan the dive first")
    if lane is not None and lane.called_off:
        raise Refusal(f"lane {lane.number} was called off; no alarm is raised in it")
    known = _standing(case, event)
    if known is not None and RANKS[event.priority] <= RANKS[known.priority]:
        raise Refusal(f"the alarm '{event.key}' stands already, as {known.priority}")


def _cleared(case: Case, event: AlarmCleared) -> None:
    if case.afterwards:
        return
    _lane_open(case, event)
    if _standing(case, event) is None:
        raise Refusal(f"the alarm '{event.key}' does not stand")


def _acknowledged(case: Case, event: AlarmAcknowledged) -> None:
    if case.afterwards:
        return
    _lane_open(case, event)
    board = case.board
    if not any(board.has_role(event.by, role) for role in MAY_ACKNOWLEDGE):
        who = ", ".join(MAY_ACKNOWLEDGE[:-1])
        raise Refusal(
            f"an alarm is acknowledged by a {who} or {MAY_ACKNOWLEDGE[-1]}; "
            f"{board.name(event.by)} has none of these duties"
        )
    known = _standing(case, event)
    if known is None:
        raise Refusal(f"the alarm '{event.key}' does not stand any more")
    if known.acknowledged is not None:
        raise Refusal(f"the alarm is acknowledged already, by {board.name(known.acknowledged.by)}")


def _standing(case: Case, event: AlarmEvent) -> AlarmState | None:
    known = case.board.alarms.get((event.lane, event.key))
    return known if known is not None and known.standing else None


def _lane_open(case: Case, event: AlarmEvent) -> None:
    lane = case.board.lanes.get(event.lane or 0)
    if lane is not None and lane.closed:
        raise Refusal(f"lane {lane.number} is closed, and its alarms ended with it")


ALARM_RULES: dict[type, Callable[[Case, Any], None]] = {
    AlarmRaised: _raised,
    AlarmCleared: _cleared,
    AlarmAcknowledged: _acknowledged,
}
