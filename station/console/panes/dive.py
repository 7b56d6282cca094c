"""The dive: the big clock with its caption, the figures of the lane in view, its stops."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Digits

from station.board.figures import LaneFigures
from station.board.state import Board
from station.console.panes.paint import Paint, Text, joined
from station.console.words import band_lines, dive_lines, stop_lines
from station.dive.text import mmss


class ClockBand(Horizontal):
    """The big clock: always on the screen, with what it means and the mark that comes next."""

    def __init__(self) -> None:
        super().__init__(id="clock-band")
        self._value = ""

    def compose(self) -> ComposeResult:
        """Digits at the left, words at the right."""
        yield Digits("", id="clock")
        with Vertical():
            yield Paint(id="clock-caption")
            yield Paint(id="clock-next")
            yield Paint(id="clock-depth")

    def show(self, board: Board, one: LaneFigures | None) -> None:
        """Paint what has changed."""
        value = "--:--" if one is None else mmss(one.clock.seconds)
        if value != self._value:
            self._value = value
            self.query_one("#clock", Digits).update(value)
        lines: list[Text] = ["NO DIVE PLANNED", "", ""] if one is None else [*band_lines(board, one)]
        for name, text in zip(("clock-caption", "clock-next", "clock-depth"), lines, strict=True):
            self.query_one(f"#{name}", Paint).show(text)


class DivePane(Vertical):
    """Every figure of the lane in view."""

    def __init__(self) -> None:
        super().__init__(id="dive", classes="pane")

    def compose(self) -> ComposeResult:
        """Figures above, stops below."""
        yield Paint(id="dive-lines")
        yield Paint(id="stops-head", classes="head")
        yield Paint(id="stops")

    def show(self, board: Board, one: LaneFigures | None) -> None:
        """Paint what has changed."""
        figures, head, stops = (
            self.query_one(f"#{name}", Paint) for name in ("dive-lines", "stops-head", "stops")
        )
        if one is None:
            figures.show("")
            head.show("STOPS")
            stops.show("")
            return
        figures.show(joined(dive_lines(board, one)))
        planned = one.dive.phase in ("on deck", "descending", "on the bottom")
        head.show("STOPS, if the bottom is left as said above" if planned else "STOPS (x: taken)")
        stops.show(joined(stop_lines(board, one, stops.size.height)))
