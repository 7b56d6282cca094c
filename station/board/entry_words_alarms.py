"""Entries about alarms, in words: each with its key, by which raise, notice and end are found together."""

from collections.abc import Callable
from typing import Any

from station.board.state import Board
from station.events import AlarmAcknowledged, AlarmCleared, AlarmRaised

ALARM_WORDS: dict[type, Callable[[Board, Any], str]] = {
    AlarmRaised: lambda _board, event: f"ALARM {event.priority.upper()} '{event.key}': {event.words}",
    AlarmCleared: lambda _board, event: f"alarm '{event.key}' cleared",
    AlarmAcknowledged: lambda _board, event: f"alarm '{event.key}' acknowledged",
}
