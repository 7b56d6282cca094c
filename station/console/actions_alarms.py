"""The action for alarms: to take notice of one, or of all."""

from station.console.action import STATION, Action
from station.console.flows import alarms

ALARM_ACTIONS: tuple[Action, ...] = (
    Action(
        alarms.ACKNOWLEDGE,
        STATION,
        "ack",
        "take notice of an alarm: it is silent then, and shown until its cause is gone; works in dialogs too",
        ("grave_accent", "ctrl+d"),
        alarms.acknowledge,
        urgent=True,
    ),
)
