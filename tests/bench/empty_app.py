"""The least that a Textual program can be and still tick: what a console is measured against.

python tests/bench/empty_app.py
"""

from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from station.console.app import TICK_S


class EmptyApp(App[None]):
    """One line, one key, a tick that does nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f9,m", "count", show=False)]
    pressed = 0

    def compose(self) -> ComposeResult:
        """One line."""
        yield Static("EMPTY")

    def on_mount(self) -> None:
        """Start the tick."""
        self.animation_level = "none"
        self.set_interval(TICK_S, lambda: None)

    def action_count(self) -> None:
        """Say how often the key was pressed."""
        self.pressed += 1
        self.query_one(Static).update(f"pressed {self.pressed} times")


if __name__ == "__main__":
    EmptyApp().run()
