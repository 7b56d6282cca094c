"""A plot drawn with characters: values over time in a box of so many columns and rows. Pure, no screen.

Each series is told by a sign of its own, such as the letter of its bank, not by colour. What lies between its
points is drawn in thirds of a row: ' high, - middle, . low, | all of it; characters that every terminal has.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

SEVERAL = "*"
"""The sign where points of more than one series meet."""
LEAST_COLUMNS, LEAST_ROWS = 12, 3
"""The least room for the points themselves, beside the labels."""
RULE = "─"
FOOT = 2
"""Rows below the points: the axis of time, and its labels."""
THIRDS = 3
_THIRD = {(0,): "'", (1,): "-", (2,): ".", (0, 1): "'", (1, 2): ".", (0, 2): "|", (0, 1, 2): "|"}
_CLOCK_ROOM = len("00:00") + 3
_MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440)

Point = tuple[datetime, float]


@dataclass(frozen=True)
class Series:
    """Points in any order, drawn with one character."""

    sign: str
    points: Sequence[Point]


@dataclass(frozen=True)
class Marker:
    """A value with a broken line of its own across the plot, such as a minimum or a stop."""

    value: float
    label: str


@dataclass(frozen=True)
class Axes:
    """What a plot shows beside its points.

    `downwards` has values grow towards the foot, as depths do. `include` are values that must be within the
    plot, such as 0. `since` and `until` are moments it must reach.
    """

    downwards: bool = False
    markers: Sequence[Marker] = ()
    include: Sequence[float] = ()
    since: datetime | None = None
    until: datetime | None = None


def plot(series: Sequence[Series], width: int, height: int, axes: Axes | None = None) -> list[str]:
    """Return the plot as lines: at most `height` of them, each at most `width` characters.

    Values are finite and in the unit to be shown. Without a point, or without room for the labels and a few
    points, there are no lines. Drawn to the nearest column and third of a row: figures are read elsewhere.
    """
    axes = axes or Axes()
    points = [point for one in series for point in one.points]
    rows = height - FOOT
    if not points or rows < LEAST_ROWS:
        return []
    values = [value for _, value in points] + [one.value for one in axes.markers] + [*axes.include]
    ticks = _ticks(min(values), max(values), rows)
    labels = [f"{tick:g}" for tick in ticks]
    room = max(len(label) for label in labels)
    columns = width - room - 1
    if columns < LEAST_COLUMNS:
        return []
    grid = _Grid(columns, rows, _span(points, axes), (ticks[0], ticks[-1]), downwards=axes.downwards)
    for marker in axes.markers:
        grid.mark(marker.value)
    for one in series:
        grid.join(one)
    grid.put(series)
    for marker in axes.markers:
        grid.name(marker)
    at = {grid.row(tick): label for tick, label in zip(ticks, labels, strict=True)}
    lines = [
        f"{at.get(row, ''):>{room}}{'┤' if row in at else '│'}{''.join(cells)}"
        for row, cells in enumerate(grid.cells)
    ]
    return [line.rstrip() for line in (*lines, *(f"{'':>{room}}{foot}" for foot in grid.foot()))]


class _Grid:
    """The box of the points alone: which cell a point falls into, and what stands in each."""

    def __init__(
        self,
        columns: int,
        rows: int,
        span: tuple[datetime, datetime],
        values: tuple[float, float],
        *,
        downwards: bool,
    ) -> None:
        self._columns, self._rows = columns, rows
        self._since, self._until = span
        self._low, self._high = values
        self._downwards = downwards
        self.cells = [[" "] * columns for _ in range(rows)]

    def column(self, at: datetime) -> int:
        """Return the column nearest to a moment."""
        return math.floor((at - self._since) / (self._until - self._since) * (self._columns - 1) + 0.5)

    def third(self, value: float) -> int:
        """Return the third of a row nearest to a value, counted from the top."""
        part = (value - self._low) / (self._high - self._low)
        part = part if self._downwards else 1 - part
        return min(max(math.floor(part * (self._rows * THIRDS - 1) + 0.5), 0), self._rows * THIRDS - 1)

    def row(self, value: float) -> int:
        """Return the row of a value."""
        return self.third(value) // THIRDS

    def mark(self, value: float) -> None:
        """Draw the broken line of a value."""
        self.cells[self.row(value)][:] = [RULE if at % 2 else " " for at in range(self._columns)]

    def name(self, marker: Marker) -> None:
        """Write the label of a broken line where nothing else stands in its row, as far left as may be."""
        row, words = self.cells[self.row(marker.value)], f" {marker.label} "
        for begins in range(self._columns - len(words) + 1):
            if set(row[begins : begins + len(words)]) <= {" ", RULE}:
                row[begins : begins + len(words)] = words
                return

    def join(self, one: Series) -> None:
        """Draw what lies between the points of a series, straight from one to the next."""
        touched: dict[tuple[int, int], set[int]] = {}
        points = sorted(one.points)
        for (start, first), (end, second) in pairwise(points):
            for column, third in _line(
                (self.column(start), self.third(first)), (self.column(end), self.third(second))
            ):
                touched.setdefault((third // THIRDS, column), set()).add(third % THIRDS)
        for (row, column), thirds in touched.items():
            self.cells[row][column] = _THIRD[tuple(sorted(thirds))]

    def put(self, series: Sequence[Series]) -> None:
        """Draw the points, above everything else."""
        signs: dict[tuple[int, int], set[str]] = {}
        for one in series:
            for at, value in one.points:
                signs.setdefault((self.row(value), self.column(at)), set()).add(one.sign[:1])
        for (row, column), here in signs.items():
            self.cells[row][column] = SEVERAL if len(here) > 1 else min(here)

    def foot(self) -> tuple[str, str]:
        """Return the axis of time and its labels, as many as have room."""
        axis, words = ["─"] * self._columns, [" "] * (self._columns + 1)
        last = -_CLOCK_ROOM
        for at in self._clocks():
            column = self.column(at)
            axis[column] = "┴"
            begins = min(max(column - 1, 0), self._columns + 1 - len("00:00"))
            if begins >= last + _CLOCK_ROOM:
                words[begins : begins + len("00:00")] = f"{at:%H:%M}"
                last = begins
        return f"└{''.join(axis)}", "".join(words)

    def _clocks(self) -> Iterator[datetime]:
        """Yield moments in even steps that leave room for their labels; the beginning where none falls in."""
        whole = (self._until - self._since) / timedelta(minutes=1)
        least = whole * _CLOCK_ROOM / self._columns
        step = next((one for one in _MINUTES if one >= least), math.ceil(least / 1440) * 1440)
        day = self._since.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
        number = math.ceil((self._since - day) / timedelta(minutes=step))
        first = day + number * timedelta(minutes=step)
        if first > self._until:
            yield self._since
        while first <= self._until:
            yield first
            first += timedelta(minutes=step)


def _line(start: tuple[int, int], end: tuple[int, int]) -> Iterator[tuple[int, int]]:
    """Yield the places on a straight line, none of them more than one from the next."""
    across, down = end[0] - start[0], end[1] - start[1]
    steps = max(abs(across), abs(down), 1)
    for at in range(steps + 1):
        yield (
            math.floor(start[0] + across * at / steps + 0.5),
            math.floor(start[1] + down * at / steps + 0.5),
        )


def _span(points: Sequence[Point], axes: Axes) -> tuple[datetime, datetime]:
    """Return from when to when the plot goes: a minute at the least."""
    times = [at for at, _ in points] + [at for at in (axes.since, axes.until) if at is not None]
    first, last = min(times), max(times)
    return first, max(last, first + timedelta(minutes=1))


def _ticks(low: float, high: float, rows: int) -> list[float]:
    """Return whole round values around all that is shown, for about every second row."""
    most = max(2, (rows - 1) // 2)
    span = max(high - low, float(most))
    size = 10.0 ** math.floor(math.log10(span / most))
    steps = (size * factor for factor in (1, 2, 5, 10, 20))
    step = next(one for one in steps if math.ceil(high / one) - math.floor(low / one) <= most)
    first = math.floor(low / step)
    last = max(math.ceil(high / step), first + 1)
    return [number * step for number in range(first, last + 1)]
