"""A dive on paper: the schedule for a depth and a time, for people and for programs.

The published table is the authority: times are those printed for the row, from the row's own depth. What
they come to from the depth that was asked for, as on the day itself, stands beside them and is never more.
Asked at exactly a row's depth, both are the same.
"""

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from station.dive.ascent import PLANNED, Ascent, ascend
from station.dive.depth import corrected
from station.dive.oxygen import oxygen_plan
from station.dive.schedule import Ahead, NoSchedule, Schedule, ahead, select
from station.dive.text import depth_text, mmss, stops_words
from station.errors import LookUpError, UsageError
from station.events import Gas
from station.moments import MILLISECOND, clock_time
from station.tables.model import Tables

LONGEST_MIN = 1440
"""A bottom time beyond a day is taken for a slip of the finger; the longest printed one is 1,102 min."""


@dataclass(frozen=True)
class PlanResult:
    """A plan: what was asked, the schedule, the ascent from the depth asked for, and what comes after."""

    reading: float | None
    depth: float
    minutes: int
    schedule: Schedule
    ascent: Ascent
    ahead: Ahead
    leave_at: datetime | None
    gas: Gas = "air"


def plan(  # noqa: PLR0913 - what a plan depends on, each by its name
    tables: Tables,
    depth: float,
    minutes: int,
    *,
    is_reading: bool = False,
    lengthen: bool = False,
    leave_at: datetime | None = None,
    gas: Gas = "air",
    residual_min: int = 0,
) -> PlanResult:
    """Return the plan for a depth in the tables' unit and a bottom time in whole minutes.

    `is_reading`: the depth is a pneumofathometer reading and is corrected first. `lengthen`: the next longer
    schedule, for a cold or arduous dive. `leave_at`: when the bottom is left, for clock times. `gas`: what is
    breathed on the way up, the stops in the water only. `residual_min`: residual nitrogen time, added to it.

    Raises:
        UsageError: a depth or a time that no dive has.
        LookUpError: the tables print no schedule; says which deeper row lists the time, if one does.

    """
    if not (math.isfinite(depth) and depth > 0):
        raise UsageError(f"the depth must be more than 0 {tables.unit} (found {depth:g})")
    if not 1 <= minutes <= LONGEST_MIN:
        raise UsageError(f"the bottom time must be whole minutes, 1 to {LONGEST_MIN} (found {minutes})")
    used = corrected(tables, depth) if is_reading else depth
    schedule = select(tables, used, residual_min + minutes, lengthen=lengthen)
    if isinstance(schedule, NoSchedule):
        raise LookUpError(no_schedule_words(schedule, tables.unit))
    return PlanResult(
        reading=depth if is_reading else None,
        depth=used,
        minutes=minutes,
        schedule=schedule,
        ascent=_ascent(tables, schedule, used, gas),
        ahead=ahead(tables, schedule),
        leave_at=leave_at,
        gas=gas,
    )


def _ascent(tables: Tables, schedule: Schedule, departure: float, gas: Gas) -> Ascent:
    if gas != "air_oxygen":
        return ascend(tables, schedule.stops, departure)
    if schedule.oxygen_stops is None:
        raise LookUpError(f"the tables print no stops on oxygen for {schedule.name}")
    oxygen = oxygen_plan(tables.file.oxygen, schedule)
    return ascend(tables, schedule.oxygen_stops, departure, PLANNED, oxygen)


def no_schedule_words(none: NoSchedule, unit: str) -> str:
    """Return why there is no schedule, with the deeper row that lists the time, if one does."""
    if none.fallback is None:
        return none.reason
    row = none.fallback
    return (
        f"{none.reason}; the deeper schedule {row.name} lists that time ({stops_words(row.stops, unit)}, "
        f"total {mmss(row.total_s)}): for the supervisor to decide, never taken by itself"
    )


def plan_json(result: PlanResult) -> dict[str, Any]:
    """Return the plan as plain data; depths carry their unit in the key, times are in seconds or minutes.

    `table_time_min` is null when there is no stop, `group` when the table prints none. `time_to_first_stop_s`
    and `total_ascent_s` are the row's, from the row's own depth; the `own_depth_` times start from the depth
    asked for.
    """
    schedule, ascent, unit = result.schedule, result.ascent, result.schedule.unit
    return {
        f"depth_{unit}": result.depth,
        "bottom_time_min": result.minutes,
        "schedule": schedule.name,
        f"table_depth_{unit}": schedule.table_depth,
        "table_time_min": None if schedule.no_stop else schedule.row_time,
        "stops": [
            {f"depth_{unit}": stop.depth, "minutes": stop.minutes} for stop in schedule.stops_on(result.gas)
        ],
        "gas": result.gas,
        "time_to_first_stop_s": schedule.to_first_stop_s,
        "total_ascent_s": schedule.total_on(result.gas),
        "own_depth_time_to_first_stop_s": ascent.to_first_stop_s,
        "own_depth_total_ascent_s": ascent.total_s,
        "group": schedule.group,
        "exposure": schedule.exposure.name,
        "exceptional": schedule.exposure.exceptional,
        "lengthened": schedule.lengthened == "yes",
        "source": schedule.source,
        "why": schedule.why,
    }


def plan_lines(tables: Tables, result: PlanResult) -> list[str]:
    """Return the plan in words, one line each, for people."""
    schedule, unit = result.schedule, result.schedule.unit
    lines = [f"Tables        {tables.file.title}"]
    if not tables.file.for_diving:
        lines.append("              NOT FOR DIVING")
    if result.reading is not None:
        used = depth_text(result.depth, unit)
        lines.append(f"Depth         {depth_text(result.reading, unit)} read, {used} corrected")
    lines += [
        f"Schedule      {schedule.name}{', no stop' if schedule.no_stop else ''}",
        f"Why           {schedule.why}",
        f"Exposure      {schedule.exposure.words}",
        f"Group         {schedule.group or 'none printed: no repetitive dive can be computed from it'}",
        *_oxygen_lines(tables, result),
        *_ascent_lines(result),
        f"Total ascent  {_total_words(result)}",
        f"Next row      {_next_words(result)}",
    ]
    return lines


def _oxygen_lines(tables: Tables, result: PlanResult) -> list[str]:
    rules, clock = tables.file.oxygen, result.ascent.clock
    if rules is None or clock is None:
        return []
    total = sum(one.minutes for one in result.ascent.stops if one.served_ms is not None)
    breaks = f"{clock.planned_breaks} x {rules.break_min} min of air" if clock.planned_breaks else "none"
    return [f"Oxygen        {total} min in the water, breaks: {breaks}"]


def _ascent_lines(result: PlanResult) -> list[str]:
    unit, ascent, leave_at = result.schedule.unit, result.ascent, result.leave_at
    up_to = depth_text(ascent.stops[0].depth, unit) if ascent.stops else "surface"
    lines = [
        f"First travel  {mmss(ascent.to_first_stop_s)} to {up_to}{_clock(leave_at, 0, ', leave bottom ')}"
    ]
    for one in ascent.stops:
        arrive = _clock(leave_at, one.due_arrive_ms, "  arrive ")
        leave = _clock(leave_at, one.due_leave_ms, "  leave ")
        gas = " on oxygen" if one.served_ms is not None else ""
        stop = f"{depth_text(one.depth, unit):>8} {one.minutes:>4} min{gas}"
        lines.append(f"Stop          {stop}{arrive}{leave}")
    if leave_at is not None:
        lines.append(f"Surface       {_clock(leave_at, ascent.surface_ms, '')}")
    return lines


def _total_words(result: PlanResult) -> str:
    schedule, unit = result.schedule, result.schedule.unit
    printed = f"printed for {schedule.table_depth} {unit}: {mmss(schedule.total_on(result.gas))}"
    return f"{mmss(result.ascent.total_s)} from {depth_text(result.depth, unit)} ({printed})"


def _clock(leave_at: datetime | None, milliseconds: int, before: str) -> str:
    return "" if leave_at is None else before + clock_time(leave_at + milliseconds * MILLISECOND)


def _next_words(result: PlanResult) -> str:
    after, schedule = result.ahead.next, result.schedule
    if after is None:
        return "none: no limit there"
    if isinstance(after, NoSchedule):
        return f"NONE after {schedule.holds_to_min} min: the tables print no schedule for longer"
    alarm = "EXCEPTIONAL: " if result.ahead.exceptional_next else ""
    stops = stops_words(after.stops_on(result.gas), after.unit)
    words = f"{after.name} after {schedule.holds_to_min} min: {stops}"
    return f"{alarm}{words}, total {mmss(after.total_on(result.gas))}"
