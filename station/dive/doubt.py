"""Depth readings that are worth a second look at the gauge before they are entered.

A doubt asks; it never refuses: the gauge may be right. Every limit here is a station choice.
"""

from collections.abc import Iterator
from datetime import datetime

from station.dive.depth import corrected
from station.dive.facts import DiveFacts
from station.dive.text import depth_text, mmss
from station.dive.times import MS_PER_MIN, seconds_up
from station.moments import ms_between
from station.tables.model import Tables
from station.units import from_fsw

TRAVEL_FSW_MIN = 90.0
"""No diver in this outfit goes down or comes up faster; the tables' own limits are lower and raise alarms."""
NOISE_FSW = 6.0
"""What two readings of a diver who does not move, or a reading and a mark, may differ by."""
OVER_PLAN_FSW = 10.0
"""A reading this much deeper than planned and than anything read so far: the step of the printed tables."""


def doubtful_depth(tables: Tables, facts: DiveFacts, reading: float, at: datetime) -> str | None:
    """Return why a reading, in the unit of the tables, should be taken again; None when nothing says so."""
    unit = tables.unit
    noise = from_fsw(NOISE_FSW, unit)
    known = max((one for one in _known(facts) if one[0] <= at), default=None)
    if known is None:
        return None
    since, last = known
    change, ms = reading - last, ms_between(since, at)
    if abs(change) > noise + from_fsw(TRAVEL_FSW_MIN, unit) * ms / MS_PER_MIN:
        way = "deeper" if change > 0 else "shallower"
        return f"{depth_text(abs(change), unit)} {way} than {mmss(seconds_up(ms))} ago"
    left = facts.time_of("left_bottom")
    if left is not None and left <= at and change > noise:
        return f"{depth_text(change, unit)} deeper than before, on the way up"
    deepest = max([facts.planned_depth, facts.declared_depth or 0.0, *_read(tables, facts)])
    if reading > deepest + from_fsw(OVER_PLAN_FSW, unit):
        return f"{depth_text(reading - deepest, unit)} deeper than planned, and than anything read so far"
    return None


def _known(facts: DiveFacts) -> Iterator[tuple[datetime, float]]:
    """Yield every depth known of the dive, with its time."""
    yield from ((one.at, one.reading) for one in facts.readings)
    for mark in facts.marks:
        if mark.name in {"left_surface", "reached_surface"}:
            yield mark.at, 0.0
        elif mark.depth is not None:
            yield mark.at, mark.depth


def _read(tables: Tables, facts: DiveFacts) -> Iterator[float]:
    yield from (max(one.reading, corrected(tables, one.reading)) for one in facts.readings)
