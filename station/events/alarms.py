"""Entries about alarms: raised and cleared by the console as causes come and go, acknowledged by people.

An alarm is named by its key and by its lane, None for what concerns the whole station.
"""

from typing import Annotated, Literal

from pydantic import StringConstraints

from station.events.base import Entry, LaneNumber, Text

Priority = Literal["high", "medium", "low"]
AlarmKey = Annotated[str, StringConstraints(pattern=r"^\S(.{0,198}\S)?$")]


class AlarmRaised(Entry):
    """An alarm began to stand, or rose to a higher priority while it stood; in the words of that moment."""

    kind: Literal["alarm.raised"] = "alarm.raised"
    lane: LaneNumber | None = None
    key: AlarmKey
    priority: Priority
    words: Text


class AlarmCleared(Entry):
    """The cause of an alarm is gone."""

    kind: Literal["alarm.cleared"] = "alarm.cleared"
    lane: LaneNumber | None = None
    key: AlarmKey


class AlarmAcknowledged(Entry):
    """Somebody has taken notice of an alarm; it stands until its cause is gone."""

    kind: Literal["alarm.acknowledged"] = "alarm.acknowledged"
    lane: LaneNumber | None = None
    key: AlarmKey
