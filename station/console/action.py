"""What an action is: its keys, its name in the line of keys, its help, what it does."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime

from station.board.figures import Phase
from station.console.desk import Desk

Flow = Callable[[Desk, datetime], Awaitable[None]]

GROUPS = ("Marks and readings", "Outfit", "Station and record", "Screen", "Drill")
MARKS, OUTFIT, STATION, SCREEN, DRILL = GROUPS
DRESSING: frozenset[Phase] = frozenset({"dressing", "ready"})
BELOW: frozenset[Phase] = frozenset({"descent", "bottom", "ascent", "stop"})
AFTER: frozenset[Phase] = frozenset({"undressing"})
ALL: frozenset[Phase] = frozenset()


@dataclass(frozen=True)
class Action:
    """One thing a key does.

    short: its name in the line of keys. phases: when it is shown there. pause_s: a second press within so
    many seconds is a key that bounced or was held down, and is not taken. urgent: works under a dialog too.
    keys: the standard ones; without any it stands in the menu. The keys that hold now: keyboard.keys_of.
    """

    id: str
    group: str
    short: str
    help: str
    keys: tuple[str, ...]
    flow: Flow
    phases: frozenset[Phase] = ALL
    pause_s: float = 0.0
    urgent: bool = False

    @property
    def enters(self) -> bool:
        """Whether it makes entries as a script does; notice of an alarm is taken by people alone."""
        return self.group not in (SCREEN, DRILL) and self.id not in ("who", "pen", "alarm.acknowledge")
