"""The big clock with its caption, the next mark and the last depth; in one line where room is short."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content

from station.board.figures import LaneFigures
from station.board.state import Board
from station.console.panes.paint import LargeClock, Paint, Text
from station.console.words import band_lines, next_fitting
from station.dive.text import mmss


class ClockBand(Horizontal):
    """The big clock: always on the screen, with what it means and the mark that comes next."""

    def __init__(self) -> None:
        super().__init__(id="clock-band")

    def compose(self) -> ComposeResult:
        """Digits at the left, words at the right, or all of it in one line."""
        yield Paint(id="clock-line")
        yield LargeClock(id="clock")
        with Vertical():
            yield Paint(id="clock-caption")
            yield Paint(id="clock-next")
            yield Paint(id="clock-depth")

    def show(self, board: Board, one: LaneFigures | None) -> None:
        """Paint what has changed."""
        value = "--:--" if one is None else mmss(one.clock.seconds)
        self.query_one(LargeClock).show_time(value)
        room = self.query_one("#clock-depth", Paint).content_size.width
        lines: list[Text] = ["NO DIVE PLANNED", "", ""] if one is None else [*band_lines(board, one, room)]
        for name, text in zip(("clock-caption", "clock-next", "clock-depth"), lines, strict=True):
            self.query_one(f"#{name}", Paint).show(text)
        short, line = self.query_one("#clock-line", Paint), Content("no dive is planned yet")
        if one is not None:
            lead = f"{one.clock.caption} {value}   "
            line = Content(lead) + next_fitting(board, one, short.content_size.width - len(lead))
        short.show(Content.styled(line.plain, "bold"))
