"""What every dialog with a list shares: the arrows move in it wherever the cursor blinks, Esc leaves."""

from abc import abstractmethod
from collections.abc import Awaitable
from typing import ClassVar, Generic, TypeVar

from textual.binding import Binding, BindingType
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import OptionList

Answer = TypeVar("Answer")


class Listed(ModalScreen[Answer | None], Generic[Answer]):
    """A dialog over one list; left with Esc its answer is None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", show=False, priority=True),
        Binding("enter", "enter", show=False, priority=True),
        Binding("up", "step(-1)", show=False, priority=True),
        Binding("down", "step(1)", show=False, priority=True),
    ]

    BEGINS: ClassVar[type[Widget]] = OptionList

    def on_mount(self) -> None:
        """Begin where the dialog begins: in its list, or in the line over it."""
        self.set_focus(self.query_one(self.BEGINS))

    @abstractmethod
    def action_enter(self) -> Awaitable[None] | None:
        """Take the line under the cursor."""

    def action_step(self, step: int) -> None:
        """Go to the next line, or the one before."""
        lines = self.query_one(OptionList)
        if step > 0:
            lines.action_cursor_down()
        else:
            lines.action_cursor_up()

    def action_leave(self) -> None:
        """Leave without an answer."""
        self.dismiss(None)
