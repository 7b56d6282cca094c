"""The dive drawn: depth downwards, time to the right, stops as planned and as served."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from station.record.pdf.profile import Point, Profile
from station.record.pdf.sheet import Sheet

HEIGHT: Final = 58.0
"""Millimetres from the surface to the lower edge of the plot."""
_LEFT: Final = 13.0
_RIGHT: Final = 43.0
_ABOVE: Final = 7.0
_SMALL: Final = 6.6
_PLANNED: Final = 185
_MINUTES: Final = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240, 480)
_DEPTHS: Final = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)
_TICKS: Final = 9
_LABEL: Final = 2.9
LEGEND: Final = (
    "Line: as marked and read. Rings: depth readings, corrected. Grey: the way up and the stops as they were "
    "due. LS left surface, RB reached bottom, LB left bottom, RS reached surface."
)


@dataclass(frozen=True)
class _Axes:
    """Where time and depth come to stand on the page."""

    left: float
    top: float
    right: float
    bottom: float
    start: datetime
    end: datetime
    deepest: float

    def x(self, at: datetime) -> float:
        part = (at - self.start) / (self.end - self.start)
        return self.left + (self.right - self.left) * part

    def y(self, depth: float) -> float:
        return self.top + (self.bottom - self.top) * depth / self.deepest


def draw(sheet: Sheet, found: Profile) -> None:
    """Draw a dive at the cursor, over the whole width, and move the cursor below it."""
    low, high = min(found.moments), max(found.moments)
    step = _step_of_depth(found.deepest)
    top = float(sheet.y) + _ABOVE
    axes = _Axes(
        left=sheet.left + _LEFT,
        top=top,
        right=sheet.right - _RIGHT,
        bottom=top + HEIGHT,
        start=low,
        end=high + (high - low) / 50,
        deepest=step * math.ceil(found.deepest / step),
    )
    _grid(sheet, axes, step, found.unit)
    _planned(sheet, axes, found)
    _served(sheet, axes, found)
    _mark_lines(sheet, axes, found.marks)
    _beside(sheet, axes, found)
    sheet.y = axes.bottom + 5.6


def _grid(sheet: Sheet, axes: _Axes, step: float, unit: str) -> None:
    sheet.set_draw_color(0)
    sheet.set_line_width(0.25)
    sheet.rect(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
    sheet.set_line_width(0.1)
    sheet.set_draw_color(205)
    for count in range(round(axes.deepest / step) + 1):
        y = axes.y(count * step)
        sheet.line(axes.left, y, axes.right, y)
        sheet.put(axes.left - 1.2, y - 1.5, f"{count * step:g}", _SMALL, align="right")
    for at in _times(axes.start, axes.end):
        sheet.line(axes.x(at), axes.top, axes.x(at), axes.bottom)
        sheet.put(axes.x(at), axes.bottom + 0.7, f"{at:%H:%M}", _SMALL, align="centre")
    sheet.set_draw_color(0)
    sheet.put(axes.right + 1.5, axes.bottom + 0.7, "UTC", _SMALL)
    x, y = sheet.left + 1.2, (axes.top + axes.bottom) / 2
    with sheet.rotation(90, x, y):
        sheet.put(x, y - 1.2, f"depth, {unit}", _SMALL, align="centre")


def _planned(sheet: Sheet, axes: _Axes, found: Profile) -> None:
    """Draw what was due as a broad grey band, so that it shows behind the line of what was done."""
    sheet.set_draw_color(_PLANNED)
    sheet.set_line_width(1.7)
    _polyline(sheet, axes, found.way_up)
    sheet.set_draw_color(0)


def _served(sheet: Sheet, axes: _Axes, found: Profile) -> None:
    sheet.set_line_width(0.4)
    _polyline(sheet, axes, found.dive)
    sheet.set_dash_pattern(dash=1.2, gap=0.8)
    _polyline(sheet, axes, found.chamber)
    sheet.set_dash_pattern()
    if found.chamber:
        first = found.chamber[0]
        sheet.put(axes.x(first.at) + 0.6, axes.y(0) + 0.6, "in the chamber", _SMALL)
    sheet.set_line_width(0.2)
    sheet.set_fill_color(255)
    for point in found.readings:
        sheet.circle(axes.x(point.at), axes.y(point.depth), 0.75, style="DF")


def _polyline(sheet: Sheet, axes: _Axes, points: Sequence[Point]) -> None:
    for one, other in pairwise(points):
        sheet.line(axes.x(one.at), axes.y(one.depth), axes.x(other.at), axes.y(other.depth))


def _mark_lines(sheet: Sheet, axes: _Axes, marks: Sequence[tuple[str, datetime]]) -> None:
    """Name the marks above the plot, in the lower of two lines where there is room, else in the other."""
    sheet.set_line_width(0.15)
    sheet.set_dash_pattern(dash=0.5, gap=0.7)
    free = [axes.left, axes.left]
    for name, at in sorted(marks, key=lambda one: one[1]):
        words, x = f"{name} {at:%H:%M:%S}", axes.x(at)
        wide = sheet.text_width(words, _SMALL)
        wanted = min(max(x - wide / 2, axes.left), axes.right - wide)
        line = min((0, 1), key=lambda row: max(free[row] - wanted, 0))
        begin = max(wanted, free[line])
        sheet.put(begin, axes.top - 3.2 - 3 * line, words, _SMALL)
        sheet.line(x, axes.top - 0.4, x, axes.bottom)
        free[line] = begin + wide + 1
    sheet.set_dash_pattern()


def _beside(sheet: Sheet, axes: _Axes, found: Profile) -> None:
    """Say beside the plot, at the height of each stop, what was planned and what was served."""
    if not found.stops:
        sheet.put(axes.right + 1.5, axes.top - 3.2, "no stops in the water", _SMALL, bold=True)
        return
    sheet.put(axes.right + 1.5, axes.top - 3.2, "stop: planned, served", _SMALL, bold=True)
    for y, words in _spread(axes, found):
        sheet.put(axes.right + 1.5, y, words, _SMALL)


def _spread(axes: _Axes, found: Profile) -> Iterator[tuple[float, str]]:
    """Yield each stop's line at its depth, or as near below as the lines above it leave room."""
    free = axes.top
    for stop in sorted(found.stops, key=lambda one: one.depth):
        free = max(free, axes.y(stop.depth) - 1.5)
        if free > axes.bottom - 1.5:
            yield free, "more in the table"
            return
        yield free, stop.words
        free += _LABEL


def _step_of_depth(deepest: float) -> float:
    return next((step for step in _DEPTHS if deepest / step <= _TICKS), _DEPTHS[-1])


def _times(start: datetime, end: datetime) -> Iterator[datetime]:
    """Yield round times of day between two moments."""
    minutes = next(
        (one for one in _MINUTES if (end - start) / timedelta(minutes=one) <= _TICKS), _MINUTES[-1]
    )
    midnight = start.replace(hour=0, minute=0, second=0, microsecond=0)
    step = timedelta(minutes=minutes)
    at = midnight + step * math.ceil((start - midnight) / step)
    while at <= end:
        yield at
        at += step
