"""The alarms in a record: of its dive, and of the station from the planning of the dive to its closing."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from station.board.alarm_states import AlarmId
from station.events import AlarmAcknowledged, AlarmCleared, AlarmRaised
from station.record.document_case import Case
from station.record.document_layout import Row, Table


@dataclass
class _Raise:
    """One raise of an alarm, what was said to it, and how it ended."""

    event: AlarmRaised
    acknowledged: AlarmAcknowledged | None = None
    cleared: datetime | None = None


def alarm_tables(case: Case) -> list[Table]:
    """Return the table of alarms; none where the journal tells of none, as an older program's never does."""
    rows: list[Row] = [_row(one) for one in _raises(case)]
    if not any(isinstance(event, AlarmRaised) for event in case.counted):
        return []
    note = (
        "Of this dive, and of the whole station from its planning to its closing: raised by the console, "
        "acknowledged by people, cleared once the cause was gone; one that rose in priority was raised "
        "again. One without `cleared` stood at the closing, which ends the alarms of the dive."
    )
    return [Table("alarms", "Alarms", {"raised": rows}, note)]


def _raises(case: Case) -> Iterator[_Raise]:
    """Yield every raise that concerns the dive, in the order in which they were entered."""
    found: list[_Raise] = []
    open_now: dict[AlarmId, _Raise] = {}
    for event in case.counted:
        if not isinstance(event, AlarmRaised | AlarmAcknowledged | AlarmCleared):
            continue
        name = (event.lane, event.key)
        before = open_now.get(name)
        if isinstance(event, AlarmRaised):
            if before is not None:
                before.cleared = event.at
            open_now[name] = _Raise(event)
            found.append(open_now[name])
        elif before is not None and isinstance(event, AlarmAcknowledged):
            before.acknowledged = event
        elif before is not None:
            before.cleared = open_now.pop(name).cleared = event.at
    planned = case.lane.plan.at
    for one in found:
        over_before = one.cleared is not None and one.cleared < planned
        if one.event.lane == case.lane.number or (one.event.lane is None and not over_before):
            yield one


def _row(one: _Raise) -> Row:
    said = one.acknowledged
    return {
        "at": one.event.at,
        "of": "station" if one.event.lane is None else "dive",
        "priority": one.event.priority,
        "key": one.event.key,
        "text": one.event.words,
        "acknowledged": said.at if said else None,
        "by": said.by if said else None,
        "cleared": one.cleared,
    }
