"""The action for what the law asks for around a dive."""

from station.console.action import STATION, Action
from station.console.flows import law

LAW_ACTIONS: tuple[Action, ...] = (
    Action(
        "duties",
        STATION,
        "duties",
        "planning, briefing, words to the diver, sickness, what the record lacks",
        ("less_than_sign", "right_curly_bracket"),
        law.duties,
        frozenset({"to close"}),
    ),
)
