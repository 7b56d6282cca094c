"""F1: the keys that count, what the lines mean, what every key does."""

from collections.abc import Sequence
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

COLUMN = 15
"""Where the words of a line begin, behind its key or caption."""
FRAME, WIDEST = 8, 90
"""Columns that frame and scrollbar take; the widest that a line becomes."""


def hanging(line: str, width: int) -> str:
    """Return a line broken to the width there is, all but the first row set in under its words."""
    room = max(COLUMN + COLUMN, min(width, WIDEST))
    return "\n".join(wrap(line, room, subsequent_indent=" " * COLUMN, break_on_hyphens=False)) or line


class Keys(ModalScreen[None]):
    """A list of lines under their heads, to scroll through."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,escape,space", "leave", show=False, priority=True)
    ]

    def __init__(self, title: str, groups: Sequence[tuple[str, Sequence[str]]], told: str) -> None:
        super().__init__()
        self._title = title
        self._groups = groups
        self._told = told

    def compose(self) -> ComposeResult:
        """Show the groups under one another."""
        with Vertical(classes="dialog -tall"):
            yield Static(self._title, classes="dialog-title", markup=False)
            with VerticalScroll(classes="dialog-text"):
                for head, lines in self._groups:
                    yield Static(head, classes="head", markup=False)
                    for line in lines:
                        yield Static(hanging(line, self.app.size.width - FRAME), markup=False)
                yield Static(self._told, markup=False)
            yield Static(
                "Up/Down, PgUp/PgDn scroll   Enter or Esc: back", classes="dialog-keys", markup=False
            )

    def on_mount(self) -> None:
        """Let the arrows scroll."""
        self.set_focus(self.query_one(VerticalScroll))

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)
