"""A dive on paper: the schedule for a depth and a time.

The published table is the authority: times are those printed for the row, from the row's own depth. What
they come to from the depth that was asked for, as on the day itself, stands beside them and is never more.
Asked at exactly a row's depth, both are the same.
"""

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from station.dive.altitude import Correction, gauge_depth
from station.dive.ascent import Ascent
from station.dive.choices import Choices, Gauge
from station.dive.facts import DiveFacts
from station.dive.follow import DEFAULTS
from station.dive.ladder import Ladder
from station.dive.ladder_now import ladder_of
from station.dive.plan_now import plan_now
from station.dive.schedule import Ahead, NoSchedule, Schedule, Stop, ahead
from station.dive.series import Arrival, EarlierDive, Residual
from station.dive.text import mmss, stops_words
from station.dive.way import Course, Way, plan_of
from station.errors import LookUpError, UsageError
from station.events import Gas
from station.tables.model import Tables

LONGEST_MIN = 1440
"""A bottom time beyond a day is taken for a slip of the finger; the longest printed one is 1,102 min."""
PAPER = datetime(2000, 1, 1, tzinfo=UTC)
"""When a dive on paper leaves the surface if nobody says when; it is never shown."""


@dataclass(frozen=True)
class Before:
    """What lies before a dive on paper and around it: earlier dives, arrival, altitude; when it begins."""

    earlier: tuple[EarlierDive, ...] = ()
    arrival: Arrival | None = None
    by_sum: bool = False
    site_ft: float = 0
    begins: datetime | None = None


@dataclass(frozen=True)
class PlanResult:
    """A plan: what was asked, the schedule, the ascent from the depth asked for, and what comes after."""

    reading: float | None
    depth: float
    minutes: int
    entered_min: int
    schedule: Schedule
    ascent: Ascent
    stops: tuple[Stop, ...]
    ahead: Ahead
    leave_at: datetime | None
    gas: Gas
    residual: Residual
    site: Correction
    gauge: Gauge
    ladder: Ladder


def plan(  # noqa: PLR0913 - what a plan depends on, each by its name
    tables: Tables,
    depth: float,
    minutes: int,
    *,
    is_reading: bool = False,
    lengthen: bool = False,
    leave_at: datetime | None = None,
    gas: Gas = "air",
    before: Before | None = None,
    choices: Choices = DEFAULTS,
) -> PlanResult:
    """Return the plan for a depth in the tables' unit and a bottom time in whole minutes.

    `is_reading`: the depth is a pneumofathometer reading and is corrected first. `lengthen`: the next longer
    schedule, for a cold or arduous dive. `leave_at`: when the bottom is left, for clock times. `gas`: what is
    breathed on the way up, the stops in the water only. `before`: earlier dives and the altitude of the site.

    Raises:
        UsageError: a depth or a time that no dive has.
        LookUpError: the tables print no schedule, or earlier dives let none be looked up; says why.
        Refusal: the site is too high.

    """
    _check_asked(tables, depth, minutes)
    before = before or Before()
    used = gauge_depth(tables, depth, before.site_ft, choices.gauge) if is_reading else depth
    begins = before.begins or (PAPER if leave_at is None else leave_at - timedelta(minutes=minutes))
    facts = DiveFacts(
        planned_depth=used,
        planned_min=minutes,
        lengthened=lengthen,
        gas=gas,
        earlier=before.earlier,
        by_sum=before.by_sum,
        arrival=before.arrival,
        site_ft=before.site_ft,
    )
    course, way = plan_now(tables, facts, begins, choices)
    schedule = way.schedule
    if isinstance(schedule, NoSchedule):
        raise LookUpError(no_schedule_words(schedule, tables.unit))
    _check_gas(schedule, gas)
    reading = depth if is_reading else None
    return _result(course, way, schedule, reading=reading, leave_at=leave_at, begins=begins)


def _result(  # noqa: PLR0913 - what stands on a plan beside the plan itself
    course: Course,
    way: Way,
    schedule: Schedule,
    *,
    reading: float | None,
    leave_at: datetime | None,
    begins: datetime,
) -> PlanResult:
    facts = course.facts
    return PlanResult(
        reading=reading,
        depth=facts.planned_depth,
        minutes=facts.planned_min,
        entered_min=schedule.minutes,
        schedule=schedule,
        ascent=plan_of(course, way),
        stops=way.stops,
        ahead=ahead(course.tables, schedule, facts.gas),
        leave_at=leave_at,
        gas=facts.gas,
        residual=way.entering.residual,
        site=way.entering.site,
        gauge=course.choices.gauge,
        ladder=ladder_of(course, way, begins),
    )


def _check_asked(tables: Tables, depth: float, minutes: int) -> None:
    if not (math.isfinite(depth) and depth > 0):
        raise UsageError(f"the depth must be more than 0 {tables.unit} (found {depth:g})")
    if not 1 <= minutes <= LONGEST_MIN:
        raise UsageError(f"the bottom time must be whole minutes, 1 to {LONGEST_MIN} (found {minutes})")


def _check_gas(schedule: Schedule, gas: Gas) -> None:
    """Raise LookUpError where the tables print nothing for the gas."""
    if gas == "air_oxygen" and schedule.oxygen_stops is None:
        raise LookUpError(f"the tables print no stops on oxygen for {schedule.name}")
    if gas == "surface_oxygen" and schedule.stops and not schedule.chamber_periods:
        raise LookUpError(f"the tables print no oxygen periods in the chamber for {schedule.name}")


def no_schedule_words(none: NoSchedule, unit: str) -> str:
    """Return why there is no schedule, with the deeper row that lists the time, if one does."""
    if none.fallback is None:
        return none.reason
    row = none.fallback
    return (
        f"{none.reason}; the deeper schedule {row.name} lists that time ({stops_words(row.stops, unit)}, "
        f"total {mmss(row.total_s)}): for the supervisor to decide, never taken by itself"
    )
