"""The alarms that stand, to take notice of one or of all."""

from collections.abc import Sequence
from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from station.board.alarm_states import AlarmId, AlarmState
from station.console.dialogs.listed import Listed

ALL: Final = "all"
Chosen = AlarmId | str
"""The name of an alarm, or all of them."""


class AlarmList(Listed[Chosen]):
    """Enter takes notice of the alarm in hand, 'a' of all; Esc leaves."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("a,A", "all", show=False, priority=True)]

    def __init__(self, alarms: Sequence[tuple[AlarmState, str]]) -> None:
        super().__init__()
        self._alarms = tuple(alarms)

    def compose(self) -> ComposeResult:
        """Show the list."""
        with Vertical(classes="dialog"):
            yield Static("ALARMS: take notice", classes="dialog-title", markup=False)
            lines = [Option(words) for _, words in self._alarms]
            yield OptionList(*lines, markup=False, compact=True, classes="dialog-list")
            yield Static(
                "Up/Down and Enter: this one   a: all   Esc leave, nothing more is entered",
                classes="dialog-keys",
                markup=False,
            )

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Answer with the line that was clicked."""
        message.stop()
        self.dismiss(self._alarms[message.option_index][0].id)

    def action_enter(self) -> None:
        """Take the line under the cursor."""
        at = self.query_one(OptionList).highlighted
        if at is not None:
            self.dismiss(self._alarms[at][0].id)

    def action_all(self) -> None:
        """Take all of them."""
        self.dismiss(ALL)
