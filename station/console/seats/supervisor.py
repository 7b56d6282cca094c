"""The supervisor's seat: lanes small, readiness, close-out, ladder against air, crew, calls, the journal."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content

from station.board.figures import Figures, LaneFigures
from station.board.state import Board
from station.console import words_supervisor as words
from station.console.layout import counted
from station.console.panes.alarms import AlarmsPane
from station.console.panes.journal import entry_lines
from station.console.panes.paint import Paint
from station.journal.interface import Entry
from station.setup import CALLS

Part = tuple[int, Sequence[Content]]
"""A part and the rows that it keeps where room is short."""
CALLS_ROWS = len(CALLS) + 2
STRIP_ROWS = 2
"""Alarms that the strip has rows for on a small screen: the list is only there for more."""
LEAST_ROWS = 2
"""Rows without which a part says nothing: its head and a line."""


class SupervisorSeat(Vertical):
    """Everything that is decided upon, in two columns above the end of the journal."""

    def __init__(self) -> None:
        super().__init__(id="supervisor", classes="view")

    def compose(self) -> ComposeResult:
        """Two columns; alarms and journal need the whole width."""
        with Horizontal(id="supervisor-columns"):
            yield Paint(id="supervisor-left")
            yield Paint(id="supervisor-right")
        yield AlarmsPane(id="alarm-list")
        yield Paint(id="journal-tail")

    def show(self, board: Board, figures: Figures, one: LaneFigures | None, entries: Sequence[Entry]) -> None:
        """Paint what has changed; on a slim screen everything stands in one column."""
        left, right = (self.query_one(f"#supervisor-{side}", Paint) for side in ("left", "right"))
        size, in_hand = left.content_size, one.lane.number if one else 0
        first = [
            (9, words.lanes_small(board, figures, in_hand, size.width, size.height)),
            (3, words.readiness(figures, size.width)),
            (3, words.closing(board, figures, size.width)),
        ]
        last = [(0, words.crew(board, size.width))]
        beside = right.content_size
        decided = [
            (5, words.ladder_small(one, beside.width or size.width)),
            (CALLS_ROWS, words.calls(board, beside.width or size.width)),
        ]
        left.show_lines(_parts([*first, *([] if beside.width else decided), *last], size.height))
        right.show_lines(_parts(decided, beside.height))
        self.set_class(len(figures.alarms) > STRIP_ROWS, "-many-alarms")
        self.query_one("#alarm-list", AlarmsPane).show_alarms(board, figures)
        tail = self.query_one("#journal-tail", Paint)
        lines = entry_lines(board, entries[-max(1, tail.size.height - 1) :])
        tail.show_lines(words.journal_tail(lines, entries, tail.content_size.width))


def _parts(parts: Sequence[Part], room: int) -> list[Content]:
    """Return parts under one another, each in the room that the others leave, the first ones first.

    One without room for all says what is left out; one without room for more than its head is left out.
    """
    rest = [(least, lines) for least, lines in parts if lines]
    shown: list[Content] = []
    for at, (least, lines) in enumerate(rest):
        kept = sum(min(len(later), few) for few, later in rest[at + 1 :])
        mine = min(room - len(shown), max(least, room - len(shown) - kept))
        if mine >= min(len(lines), LEAST_ROWS):
            shown += counted(lines, mine)
    return shown
