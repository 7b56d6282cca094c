"""The dive: the big clock with its caption, the figures of the lane in view, its stops."""

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Digits

from station.board.figures import LaneFigures
from station.board.state import Board
from station.console.panes.paint import Paint, joined
from station.console.words import dive_lines, next_mark, stop_lines
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
        caption, following, depth = (
            self.query_one(f"#{name}", Paint) for name in ("clock-caption", "clock-next", "clock-depth")
        )
        if one is None:
            caption.show("NO DIVE PLANNED")
            following.show("c crew   u conditions   b new dive")
            depth.show("")
            return
        way = "counting down" if one.clock.down else ""
        caption.show(Content.assemble((f"{one.clock.caption}", "bold reverse"), f" {way}"))
        following.show(Content.assemble(("NEXT ", "bold"), next_mark(board, one.dive)))
        depth.show(_below(board, one))


def _below(board: Board, one: LaneFigures) -> Content:
    lines = list(dive_lines(board, one))
    return lines[1] if one.lane.in_water else lines[3]


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
        stops.show(joined(stop_lines(board, one)))
