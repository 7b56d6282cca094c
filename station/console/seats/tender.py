"""The tender's seat: the next step in large type, the order with who and when, the ring of studs, holds."""

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content

from station.board.figures import Figures, LaneFigures
from station.board.state import Board
from station.console.layout import broken
from station.console.panes.outfit import OutfitPane
from station.console.panes.paint import Paint
from station.console.words_tender import next_words, others_lines


class TenderSeat(Vertical):
    """What to do next, for the lane in hand and for every other diver who is being dressed."""

    def __init__(self) -> None:
        super().__init__(id="tender", classes="view")
        self._others = 0
        self.outfit = OutfitPane()

    def compose(self) -> ComposeResult:
        """The next step stands above everything."""
        yield Paint(id="next-step")
        yield Paint(id="next-others")
        yield self.outfit

    def show(self, board: Board, figures: Figures, one: LaneFigures | None) -> None:
        """Paint what has changed; laid out anew only when another diver comes or goes."""
        self._show_next(one)
        others = self.query_one("#next-others", Paint)
        lines = others_lines(board, figures, one.lane.number if one else 0)
        if len(lines) != self._others:
            self._others = len(lines)
            others.styles.height = len(lines)
        others.show_lines(lines)
        self.outfit.show(board, one)

    def _show_next(self, one: LaneFigures | None) -> None:
        paint, words = self.query_one("#next-step", Paint), next_words(one)
        width, rows = paint.content_size.width, paint.content_size.height
        lines = [words.what, *broken(words.how, width)] if rows > 1 else [words.what]
        if rows > len(lines):
            lines.insert(0, "")
        shown = [f"{line:<{width}}" for line in lines[:rows]]
        shown += [" " * width] * (rows - len(shown))
        paint.show(Content.styled("\n".join(shown), "bold reverse"))
