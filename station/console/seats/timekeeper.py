"""The timekeeper's seat: a lane for each diver, with its clock, figures, stops and plot; the pressures."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial

from textual.app import ComposeResult
from textual.containers import Container, Horizontal, Vertical
from textual.content import Content

from station.board.figures import Figures, LaneFigures
from station.board.profile import DepthPoint, depth_line
from station.board.state import Board
from station.console.panes.paint import LargeClock, Paint
from station.console.words_ascent import asked
from station.console.words_lane import (
    caption,
    depth_plot,
    lane_head,
    lane_lines,
    other_line,
    pressure_lines,
)
from station.dive.text import mmss

LANES = 3
"""Lanes side by side at the most: two divers and a standby."""


class LaneBox(Container):
    """One lane: its clock as large as it has room, its figures and stops, the dive drawn."""

    def __init__(self) -> None:
        super().__init__(classes="lane")
        self._top = LargeClock(classes="lane-top")
        self._lines, self._plot = Paint(classes="lane-lines"), Paint(classes="lane-plot")
        self._shape: tuple[object, ...] = ()

    def compose(self) -> ComposeResult:
        """Head, clock and caption above; figures, stops and plot below or beside one another."""
        yield self._top
        yield self._lines
        yield self._plot

    def show(self, board: Board, one: LaneFigures, *, in_hand: bool, band: bool, rows: object) -> None:
        """Paint what has changed; `band`: the big clock of the lane stands above already.

        Where the room changes, with the `rows` of the seat or a plot, it is filled anew once it is known.
        """
        head, below = lane_head(board, one, in_hand=in_hand), Content.styled(caption(one), "bold")
        self._top.show_time(mmss(one.clock.seconds), [head], [below])
        points = depth_line(board, one.lane)
        shape = rows, not points, any(asked(board, one))
        self.set_class(not points, "-no-plot")
        self.set_class(any(asked(board, one)), "-asked")
        fill = partial(self._fill, board, one, points, band=band)
        fill()
        if shape != self._shape:
            self._shape = shape
            self.call_after_refresh(self._later, fill)

    @staticmethod
    def _later(fill: Callable[[], None]) -> None:
        with suppress(Exception):  # the next tick fills it again, and says what is wrong
            fill()

    def _fill(self, board: Board, one: LaneFigures, points: Sequence[DepthPoint], *, band: bool) -> None:
        size = self._lines.size
        self._lines.show_lines(lane_lines(board, one, size.width, size.height, band=band))
        size = self._plot.size
        self._plot.show_lines(depth_plot(board, one, points, size.width, size.height))


class TimekeeperSeat(Vertical):
    """The lane in hand among the lanes that go on; side by side where there is room, else one in full."""

    def __init__(self) -> None:
        super().__init__(id="timekeeper", classes="view")
        self._boxes = [LaneBox() for _ in range(LANES)]
        self._rows = (-1, -1)

    def compose(self) -> ComposeResult:
        """Lanes above, the pressures of the station below."""
        yield Paint(id="other-lanes")
        with Horizontal(id="lane-boxes"):
            yield from self._boxes
        yield Paint(id="no-lane")
        yield Paint(id="pressures")

    def show(self, board: Board, figures: Figures, one: LaneFigures | None, *, side_by_side: bool) -> None:
        """Paint what has changed; laid out anew only when the number of lanes has."""
        lanes = chosen(figures.lanes, one, LANES)
        full = lanes if side_by_side or one is None else [one]
        others = [lane for lane in lanes if lane not in full]
        self._fit(len(full), len(others))
        self.query_one("#other-lanes", Paint).show_lines(other_line(board, lane) for lane in others)
        for box, lane in zip(self._boxes, full, strict=False):
            box.show(board, lane, in_hand=lane is one, band=not side_by_side, rows=self._rows)
        self.query_one("#no-lane", Paint).show("" if full else "no dive is planned yet")
        paint = self.query_one("#pressures", Paint)
        paint.show_lines(pressure_lines(board, figures, paint.content_size.width, paint.size.height))

    def _fit(self, full: int, others: int) -> None:
        if (full, others) == self._rows:
            return
        self._rows = (full, others)
        self.query_one("#other-lanes", Paint).styles.height = others
        self.set_class(full == 1, "-one-lane")
        self.set_class(full == 0, "-no-lane")
        for at, box in enumerate(self._boxes):
            box.display = at < full


def chosen(lanes: Sequence[LaneFigures], in_hand: LaneFigures | None, most: int) -> list[LaneFigures]:
    """Return the lanes to show, in order: the one in hand, those not over, then the latest of the others."""
    ranked = sorted(lanes, key=lambda lane: (lane is not in_hand, lane.lane.over, -lane.lane.number))
    return sorted(ranked[:most], key=lambda lane: lane.lane.number)
