"""Pages that fill the body and scroll: the trail of rules, and the ladder of leaving times."""

from collections.abc import Callable, Sequence

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from station.board.figures import LaneFigures
from station.board.state import Board
from station.console.panes.paint import Paint, joined, same_look
from station.console.words_paper import ladder_text, trail_text

Lines = Callable[[Board, LaneFigures, int], Sequence[Content]]
"""Takes board, lane, and the width there is; returns the lines."""
BAR = 2
"""The width of the bar beside the lines."""


class Page(Vertical):
    """Lines under a head, for the arrows and the page keys to scroll."""

    def __init__(self, name: str, title: str, lines: Lines) -> None:
        super().__init__(id=name, classes="pane page")
        self._title = title
        self._lines = lines
        self._shown = Content("")

    def compose(self) -> ComposeResult:
        """Show the head above the text."""
        yield Paint(id=f"{self.id}-head", classes="head")
        with VerticalScroll(id=f"{self.id}-scroll"):
            yield Static("", markup=False, id=f"{self.id}-text")

    def show(self, board: Board, one: LaneFigures | None) -> None:
        """Paint what has changed; laid out anew only when the number of lines has."""
        lines = [Content("no dive is planned yet")]
        if one is not None:
            lines = [*self._lines(board, one, self.content_size.width - BAR)]
        where = "" if one is None else f", lane {one.lane.number} {board.name(one.lane.plan.diver)}"
        self.query_one(f"#{self.id}-head", Paint).show(f"{self._title}{where}   Up/Down scroll")
        text = joined(lines)
        if not same_look(text, self._shown):
            same = text.plain.count("\n") == self._shown.plain.count("\n") and bool(self._shown.plain)
            grown = len(text.plain) != len(self._shown.plain)
            self._shown = text
            self.query_one(f"#{self.id}-text", Static).update(text, layout=not same or grown)


def trail_page() -> Page:
    """Return the page of every rule applied."""
    return Page(
        "trail",
        "TRAIL: every rule applied, its source, what it changed",
        lambda board, one, _: trail_text(board, one),
    )


def ladder_page() -> Page:
    """Return the page of the leaving times."""
    return Page("ladder", "LADDER of leaving times", ladder_text)
