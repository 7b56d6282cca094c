"""How fast the diver went down and came up, and whether that is faster than the tables' authority allows.

Rates are over the travel so far: from where and when it began to the last depth known, in the depth unit of
the tables per minute, rounded up to a tenth. A depth is known from a mark or from a corrected reading.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from station.dive.depth import corrected
from station.dive.facts import DiveFacts
from station.dive.marks import PLACE_MARKS, Times
from station.dive.times import MS_PER_MIN
from station.moments import ms_between
from station.tables.model import Tables

Way = Literal["ascent", "descent"]
_Point = tuple[datetime, float]


@dataclass(frozen=True)
class TooFast:
    """A travel faster than its limit: from one depth to another, up to a moment; `rate` is rounded up."""

    way: Way
    at: datetime
    from_depth: float
    to_depth: float
    rate: float
    limit: float


def too_fast(tables: Tables, facts: DiveFacts, times: Times, departure: float) -> tuple[TooFast, ...]:
    """Return each moment at which the travel so far had been too fast, in the order of time."""
    found = list(_descents(tables, facts, times))
    if tables.file.ascent.too_fast_above is not None:
        for start, points in _ascents(tables, facts, times, departure):
            for point in points:
                one = _rate("ascent", start, point, tables.file.ascent.too_fast_above)
                found += [one] if one else []
    return tuple(found)


def travel_began(facts: DiveFacts, times: Times) -> datetime | None:
    """Return when the travel that the diver is on, or made last, began; None on deck."""
    starts = [mark.at for mark in facts.marks if mark.name in {"left_surface", "left_bottom", "left_stop"}]
    return max(starts, default=times.reached_surface)


def _descents(tables: Tables, facts: DiveFacts, times: Times) -> Iterator[TooFast]:
    """Judge the readings on the way down, and the mark of the bottom by the first depth read there.

    Before that is read the planned depth stands in (station choice).
    """
    rules, left = tables.file.descent, times.left_surface
    if rules is None or left is None:
        return
    end = times.reached_bottom or times.left_bottom or times.now
    points: list[_Point] = [
        (one.at, corrected(tables, one.reading)) for one in facts.readings if left <= one.at <= end
    ]
    if times.reached_bottom is not None:
        up = times.left_bottom or times.now
        there = (corrected(tables, one.reading) for one in facts.readings if end <= one.at <= up)
        points.append((end, next(there, facts.planned_depth)))
    for point in points:
        one = _rate("descent", (left, 0.0), point, rules.rate_max)
        if one:
            yield one


def _ascents(
    tables: Tables, facts: DiveFacts, times: Times, departure: float
) -> Iterator[tuple[_Point, list[_Point]]]:
    """Yield where each travel up began, and the depths known on it."""
    if times.left_bottom is None:
        return
    start: _Point = (times.left_bottom, departure)
    marks = [mark for mark in facts.marks if mark.at >= times.left_bottom]
    end: datetime | None = None
    points: list[_Point] = []
    for mark in marks:
        if mark.name == "left_stop" and mark.depth is not None:
            start, end, points = (mark.at, mark.depth), None, []
        elif mark.name in PLACE_MARKS and mark.depth is not None:
            points.append((mark.at, mark.depth))
        elif mark.name in {"reached_stop", "reached_surface"} and end is None:
            end = mark.at
            yield start, _with_readings(tables, facts, start[0], end, [*points, (end, mark.depth or 0.0)])
    if end is None:
        yield start, _with_readings(tables, facts, start[0], times.now, points)


def _with_readings(
    tables: Tables, facts: DiveFacts, begin: datetime, end: datetime, points: list[_Point]
) -> list[_Point]:
    read = [(one.at, corrected(tables, one.reading)) for one in facts.readings if begin < one.at <= end]
    return sorted([*points, *read])


def _rate(way: Way, start: _Point, point: _Point, limit: float) -> TooFast | None:
    """Return the travel when it was faster than its limit; a depth reached in no time at all is too fast."""
    ms = ms_between(start[0], point[0])
    gone = (start[1] - point[1]) if way == "ascent" else point[1] - start[1]
    if gone <= 0 or round(gone * MS_PER_MIN - limit * ms, 3) <= 0:
        return None
    rate = math.ceil(gone * MS_PER_MIN * 10 / max(ms, 1)) / 10
    return TooFast(way, point[0], start[1], point[1], rate, limit)
