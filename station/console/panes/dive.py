"""The dive: the big clock with its caption, the figures of the lane in view, its stops."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Digits

from station.board.figures import LaneFigures
from station.board.state import Board
from station.console.panes.paint import Paint, Text, joined
from station.console.words import band_lines, dive_lines, stop_lines
from station.console.words_ascent import chamber_steps, in_chamber
from station.dive.text import mmss

LEAST_LINES, LEAST_STOPS = 6, 3
"""Rows that the figures, and the stops below their head, have at the least."""


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
        self._rows = 0

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
        lines = dive_lines(board, one, max(LEAST_LINES, self.size.height - 1 - LEAST_STOPS))
        self._fit(figures, lines)
        figures.show(joined(lines))
        if one.chamber is not None and in_chamber(board, one):
            head.show("CHAMBER, the steps to come")
            stops.show(joined(chamber_steps(one.chamber, stops.size.height)))
            return
        planned = one.dive.phase in ("on deck", "descending", "on the bottom")
        head.show("STOPS, if the bottom is left as said above" if planned else "STOPS (x: taken)")
        stops.show(joined(stop_lines(board, one, stops.size.height)))

    def _fit(self, figures: Paint, lines: Sequence[Content]) -> None:
        """Give the figures as many rows as they need; laid out anew only when that number changes."""
        width, most = figures.size.width, self.size.height - 1 - LEAST_STOPS
        rows = len(lines)
        if figures.styles.text_wrap == "wrap" and width:
            rows = sum(-(-len(line) // width) for line in lines)
        rows = max(LEAST_LINES, min(rows, most))
        if rows != self._rows:
            self._rows = rows
            figures.styles.height = rows
