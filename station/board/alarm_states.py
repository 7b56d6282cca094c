"""The alarms as the journal tells them: raised, acknowledged, cleared, returned.

Closing a lane ends its alarms: nothing of it is entered after its closing, so its record stays as it is. An
alarm of the whole station goes on.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from station.events import AlarmAcknowledged, AlarmCleared, AlarmRaised, Priority

AlarmId = tuple[int | None, str]
"""The lane of an alarm, None for the whole station, and its key."""
AlarmEvent = AlarmRaised | AlarmCleared | AlarmAcknowledged


@dataclass(frozen=True)
class Acknowledged:
    """Who took notice of an alarm, and when."""

    by: str
    at: datetime


@dataclass(frozen=True)
class AlarmState:
    """One alarm since it was raised last; `times` counts how often it was raised since it was first.

    `acknowledged` belongs to the last raise: a return, or a rise in priority, wants notice taken anew.
    """

    lane: int | None
    key: str
    priority: Priority
    words: str
    raised_at: datetime
    times: int
    acknowledged: Acknowledged | None = None
    cleared_at: datetime | None = None

    @property
    def id(self) -> AlarmId:
        """Return what names the alarm."""
        return (self.lane, self.key)

    @property
    def standing(self) -> bool:
        """Whether its cause is still there, as far as the journal knows."""
        return self.cleared_at is None


AlarmStates = Mapping[AlarmId, AlarmState]


def after_event(known: AlarmStates, event: AlarmEvent) -> AlarmStates:
    """Return the alarms after one more event; one about an alarm that was never raised changes nothing."""
    name = (event.lane, event.key)
    before = known.get(name)
    if isinstance(event, AlarmRaised):
        times = 1 if before is None else before.times + 1
        state = AlarmState(event.lane, event.key, event.priority, event.words, event.at, times)
        return {**known, name: state}
    if before is None:
        return known
    if isinstance(event, AlarmCleared):
        return {**known, name: replace(before, cleared_at=event.at)}
    return {**known, name: replace(before, acknowledged=Acknowledged(event.by, event.at))}


def after_closing(known: AlarmStates, lane: int, at: datetime) -> AlarmStates:
    """Return the alarms after the closing of a lane, which ends those that stand in it."""
    return {
        name: replace(state, cleared_at=at) if state.lane == lane and state.standing else state
        for name, state in known.items()
    }


def standing(known: AlarmStates) -> tuple[AlarmState, ...]:
    """Return the alarms that stand, the one raised first in front."""
    return tuple(state for state in known.values() if state.standing)
