"""The air: when to turn and the manifold, always in sight; everything else of it to scroll through."""

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from station.board.figures import Figures
from station.board.state import Board
from station.console.keyboard import key_of
from station.console.panes.paint import Paint, joined, same_look
from station.console.words_air import first_lines, other_lines

LEAST_WIDTH = 40


class SupplyPane(Vertical):
    """The gauges, what they must carry, and until when they do."""

    def __init__(self) -> None:
        super().__init__(id="supply", classes="pane")
        self._shown = Content("")
        self._first_rows = 0

    def compose(self) -> ComposeResult:
        """What must be seen stands above what scrolls."""
        yield Paint(id="supply-head", classes="head")
        yield Paint(id="supply-first")
        with VerticalScroll(id="supply-scroll"):
            yield Static("", markup=False, id="supply-text")

    def show(self, board: Board, figures: Figures) -> None:
        """Paint what has changed; laid out anew only when the number of lines has."""
        width = max(self.content_size.width, LEAST_WIDTH)
        first, others = first_lines(board, figures, width), other_lines(board, figures, width)
        paint = self.query_one("#supply-first", Paint)
        if len(first) != self._first_rows:
            self._first_rows = len(first)
            paint.styles.height = len(first)
        paint.show_lines(first)
        more = len(others) > self.query_one("#supply-scroll").size.height
        ways = f"  {key_of('view.supply')}, Up/Down: more" if more else ""
        keys = f"{key_of('pressure')} reading  {key_of('air')} sources, tests{ways}"
        head = f"AIR  {keys}   {board.setup.supply.name}"
        self.query_one("#supply-head", Paint).show(head)
        text = joined(others)
        if not same_look(text, self._shown):
            anew = text.plain.count("\n") != self._shown.plain.count("\n") or not self._shown.plain
            self._shown = text
            self.query_one("#supply-text", Static).update(text, layout=anew)
