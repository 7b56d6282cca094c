"""The journal as it grows: every entry with its time, words and author; corrected ones say so."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from station.board.entry_words import entry_words
from station.board.state import Board
from station.console.keyboard import key_of
from station.console.panes.paint import Paint
from station.events import EntryAmended, EntryWithdrawn
from station.journal.interface import Entry
from station.moments import clock_time


class JournalPane(Vertical):
    """All entries, the newest at the bottom, where the cursor stays unless it was moved."""

    def __init__(self) -> None:
        super().__init__(id="journal", classes="pane")
        self._shown = 0

    def compose(self) -> ComposeResult:
        """One list under its head."""
        yield Paint(id="journal-head", classes="head")
        yield OptionList(id="lines", markup=False, compact=True)

    @property
    def in_hand(self) -> str | None:
        """The id of the entry under the cursor."""
        lines = self.query_one("#lines", OptionList)
        if lines.highlighted is None or not lines.option_count:
            return None
        return lines.get_option_at_index(lines.highlighted).id

    def show(self, board: Board, entries: Sequence[Entry]) -> None:
        """Add the entries that have come since."""
        self.query_one("#journal-head", Paint).show(
            f"JOURNAL  {len(entries)} entries; {key_of('step.row')} or {key_of('correct')} corrects a line"
        )
        new = entries[self._shown :]
        if not new:
            return
        lines = self.query_one("#lines", OptionList)
        at_end = lines.highlighted is None or lines.highlighted >= self._shown - 1
        lines.add_options(Option(entry_line(board, entry), id=entry.event.id) for entry in new)
        for entry in new:
            if isinstance(entry.event, EntryAmended | EntryWithdrawn):
                self._mark(board, lines, entries, entry.event)
        self._shown = len(entries)
        if at_end:
            lines.highlighted = self._shown - 1

    def _mark(
        self, board: Board, lines: OptionList, entries: Sequence[Entry], event: EntryAmended | EntryWithdrawn
    ) -> None:
        word = "WITHDRAWN" if isinstance(event, EntryWithdrawn) else "AMENDED"
        for entry in entries:
            if entry.event.id == event.target:
                lines.replace_option_prompt(event.target, f"{entry_line(board, entry)} [{word}]")


def entry_line(board: Board, entry: Entry) -> str:
    """Return an entry as one line."""
    event = entry.event
    return f"{entry.seq:>4} {clock_time(event.at)} {entry_words(board, event)} - {board.name(event.by)}"


def entry_lines(board: Board, entries: Sequence[Entry]) -> list[str]:
    """Return entries as lines; those that a later one of them corrects say so."""
    words: dict[str, str] = {}
    for entry in entries:
        if isinstance(entry.event, EntryAmended | EntryWithdrawn):
            words[entry.event.target] = (
                "[WITHDRAWN] " if isinstance(entry.event, EntryWithdrawn) else "[AMENDED] "
            )
    return [f"{words.get(entry.event.id, '')}{entry_line(board, entry)}" for entry in entries]
