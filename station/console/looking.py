"""The screen's own affairs: whose keys hold, how it looks, what can be found on it, what F1 tells."""

from collections.abc import Callable, Iterator, Sequence

from station.caution import CAUTION
from station.console.actions import ACTIONS, BY_ID, DRILL, GROUPS, Action
from station.console.dialogs.keys import Keys
from station.console.drill import DrillControl
from station.console.keyboard import MENU, all_keys
from station.console.keymap import use_keys
from station.console.keys import bindings
from station.console.meanings import KEYS, meanings
from station.console.taking import Taking
from station.console.themes import begin_look
from station.watch import Watch


class Looking(Taking):
    """What every screen of the station tells of itself."""

    VERTICAL_BREAKPOINTS = [(0, "-least"), (24, "-low"), (36, "-high")]  # noqa: RUF012 - declared so by Textual
    """What dialogs have room for, by the rows of the screen."""
    ENABLE_COMMAND_PALETTE = False
    """What it would do, `find` does where it hides neither clock nor alarm."""
    drill: DrillControl | None
    _view: str
    now: Sequence[Action] = ()
    """The actions of the line of keys as it was painted last."""

    def __init__(self, watch: Watch, pulse: Callable[[], float]) -> None:
        """Take what Taking takes; the keys of the station file hold from here on."""
        super().__init__(watch, pulse)
        begin_look(self, watch.board.setup.station.screen.theme)
        self._keys_fault = use_keys(watch.board.setup)
        for one in bindings():
            self._bindings.bind(one.key, one.action, one.description, show=False, priority=one.priority)

    def on_mount(self) -> None:
        """Tell what is wrong with the keys of the station file."""
        if self._keys_fault:
            self.desk.said = self._keys_fault

    @property
    def page_name(self) -> str:
        """The name of the seat or page on the screen."""
        return self._view

    def offered(self) -> Iterator[tuple[Action, str]]:
        """Yield every action there is here, with its keys in words."""
        for action in ACTIONS:
            if action.group != DRILL or self.drill:
                yield action, all_keys(action.id)

    async def show_keys(self) -> None:
        """Show the keys that count now, what the lines of the page mean, then every key."""
        offered = dict(self.offered())
        own = [BY_ID[one] for one in KEYS.get(self._view, ()) if one in BY_ID]
        now = [one for one in own if one in self.now]
        now += [one for one in self.now if one not in now]
        now += [one for one in own if one not in now and not one.phases]
        groups = [("COUNTS NOW", [_line(one) for one in (*now, BY_ID[MENU])])]
        groups += list(meanings(self._view))
        for group in GROUPS:
            lines = [_line(one) for one in offered if one.group == group]
            groups += [(f"ALL KEYS: {group}", lines)] if lines else []
        await self.push_screen_wait(Keys(f"KEYS AND WHAT STANDS HERE: {self._view}", groups, CAUTION))


def _line(action: Action) -> str:
    return f"{all_keys(action.id):<15}{action.short}: {action.help}"
