"""The actions of the screen that are rarely wanted: one key for all of them, none of their own."""

from station.console.action import SCREEN, Action
from station.console.flows import looks

SCREEN_ACTIONS: tuple[Action, ...] = (
    Action(
        "screen.more",
        SCREEN,
        "more...",
        "1 find an action, 2 save this page, 3 copy it, 4 another look",
        ("ctrl+p", "ctrl+underscore"),
        looks.more,
    ),
    *(
        Action(action, SCREEN, short, looks.PARTS[action][0], (), looks.PARTS[action][1])
        for action, short in (
            ("find", "find"),
            ("page.save", "save page"),
            ("page.copy", "copy page"),
            ("theme", "look"),
        )
    ),
)
