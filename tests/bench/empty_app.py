"""The least that a Textual program can be and still tick: what a console is measured against.

python tests/bench/empty_app.py [DATABASE]

With the name of a database the key D commits a row there first, as durably as the journal takes an entry.
"""

import sqlite3
import sys
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from station.console.app import TICK_S

ENTRY_BYTES = 500


class EmptyApp(App[None]):
    """One line, two keys, a tick that does nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f9,m", "count", show=False),
        Binding("d", "commit", show=False),
    ]
    pressed = 0

    def __init__(self, database: str = ":memory:") -> None:
        """Take the name of the database."""
        super().__init__()
        self._rows = sqlite3.connect(database, isolation_level=None)
        self._rows.execute("PRAGMA journal_mode = TRUNCATE")
        self._rows.execute("PRAGMA synchronous = FULL")
        self._rows.execute("CREATE TABLE row(body TEXT)")

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

    def action_commit(self) -> None:
        """Put a row as long as an entry on the disk, and then say so."""
        self._rows.execute("INSERT INTO row VALUES (?)", ("x" * ENTRY_BYTES,))
        self.action_count()


if __name__ == "__main__":
    EmptyApp(*sys.argv[1:2]).run()
