"""A dive on paper in words for people and as data for programs.

The published table is the authority: times are those printed for the row, from the row's own depth. What
they come to from the depth that was asked for, as on the day itself, stands beside them and is never more.
Asked at exactly a row's depth, both are the same.
"""

from datetime import datetime, timedelta
from typing import Any

from station.dive.ascent import StopTimes
from station.dive.ladder import Rung
from station.dive.planning import PlanResult
from station.dive.schedule import NoSchedule, Stop
from station.dive.site_stops import reading_at, site_stop, site_stops, stops_here
from station.dive.text import depth_text, hmm, mmss, stops_words
from station.moments import MILLISECOND, clock_time
from station.tables.model import Tables


def plan_json(tables: Tables, result: PlanResult) -> dict[str, Any]:
    """Return the plan as plain data; depths carry their unit in the key, times are in seconds or minutes.

    `table_time_min` is null when there is no stop, `group` when the table prints none. `time_to_first_stop_s`
    and `total_ascent_s` are the row's, from the row's own depth; the `own_depth_` times start from the depth
    asked for. Each of `stops` has its depth at the site, the depth the table prints, and what the gauge reads
    there, null where that is not known. Keys that end in `_clock` are clock times as HH:MM:SS, null without a
    time of leaving the bottom: `leave_bottom_clock`, `surface_clock`, and each stop's `arrive_clock` and
    `leave_clock`; in the ladder `leave_by_clock` and `surface_clock`.
    """
    schedule, ascent, unit = result.schedule, result.ascent, result.schedule.unit
    return {
        f"depth_{unit}": result.depth,
        "bottom_time_min": result.minutes,
        "residual_nitrogen_time_min": result.residual.minutes,
        "residual_kind": result.residual.kind,
        "residual": result.residual.words,
        "time_entered_min": result.entered_min,
        "altitude_ft": result.site.site_ft,
        f"depth_entered_{unit}": schedule.depth,
        "schedule": schedule.name,
        f"table_depth_{unit}": schedule.table_depth,
        "table_time_min": None if schedule.no_stop else schedule.row_time,
        "leave_bottom_clock": _clock(result.leave_at, 0) or None,
        "stops": [_stop_json(tables, result, one) for one in ascent.stops],
        "surface_clock": _clock(result.leave_at, ascent.surface_ms) or None,
        "gas": result.gas,
        "chamber_periods": _chamber_periods(result) or None,
        "time_to_first_stop_s": schedule.to_first_stop_s,
        "total_ascent_s": None if _chamber_periods(result) else schedule.total_on(result.gas),
        "own_depth_time_to_first_stop_s": ascent.to_first_stop_s,
        "own_depth_total_ascent_s": ascent.total_s,
        "group": schedule.group,
        "exposure": schedule.exposure.name,
        "exceptional": schedule.exceptional_on(result.gas),
        "lengthened": schedule.lengthened == "yes",
        "source": schedule.source,
        "why": schedule.why,
        "ladder": [_rung_json(rung, result) for rung in result.ladder.rungs],
    }


def _stop_json(tables: Tables, result: PlanResult, stop: StopTimes) -> dict[str, Any]:
    unit, here = result.schedule.unit, site_stop(tables, result.site, stop.depth, result.gauge)
    return {
        f"depth_{unit}": stop.depth,
        f"printed_{unit}": stop.depth if here is None else here.printed,
        f"gauge_{unit}": reading_at(tables, result.site, stop.depth, result.gauge),
        "minutes": stop.minutes,
        "arrive_clock": _clock(result.leave_at, stop.due_arrive_ms) or None,
        "leave_clock": _clock(result.leave_at, stop.due_leave_ms) or None,
    }


def _rung_json(rung: Rung, result: PlanResult) -> dict[str, Any]:
    """Return a line of the ladder as data; `leave_by_min` counts from leaving the surface."""
    starts = _starts(result)
    leave = None if starts is None or rung.left_s is None else starts + timedelta(seconds=rung.left_s)
    return {
        "schedule": rung.schedule.name,
        "leave_by_min": None if rung.left_s is None else rung.left_s // 60,
        "leave_by_clock": _clock(leave, 0) or None,
        "surface_clock": _clock(leave, 1000 * rung.ascent.total_s) or None,
        "stops": [
            {f"depth_{rung.schedule.unit}": one.depth, "minutes": one.minutes} for one in rung.ascent.stops
        ],
        "total_ascent_s": rung.ascent.total_s,
        "group": rung.schedule.group,
        "exceptional": rung.exceptional,
        "in_force": rung.schedule.name == result.schedule.name,
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
        *_before_lines(result),
        f"Schedule      {schedule.name}{', no stop' if schedule.no_stop else ''}",
        f"Why           {schedule.why}",
        f"Exposure      {schedule.exposure.words}",
        f"Group         {schedule.group or 'none printed: no repetitive dive can be computed from it'}",
        *_oxygen_lines(tables, result),
        *_ascent_lines(result),
        *_site_lines(tables, result),
        f"Total ascent  {_total_words(result)}",
        f"Next row      {_next_words(result)}",
    ]
    return lines


def _before_lines(result: PlanResult) -> list[str]:
    lines = [f"Altitude      {result.site.words}"] if result.site.applies else []
    if result.residual.kind == "single":
        return lines
    entered = f"{result.residual.minutes} + {result.minutes} = {result.entered_min} min enter the tables"
    return [*lines, f"Earlier dive  {result.residual.words}", f"Time          {entered}"]


def ladder_lines(result: PlanResult) -> list[str]:
    """Return the ladder of leaving times: for each row by when to leave, its stops, the ascent, the surface.

    The times count from leaving the surface; with a clock time of leaving the bottom they are clock times.
    """
    starts = _starts(result)
    lines = [f"Leave by  Schedule  Ascent    {'Surface   ' if starts else ''}Stops"]
    for rung in result.ladder.rungs:
        mine = "<" if rung.schedule.name == result.schedule.name else " "
        marks = f"{mine}{'!' if rung.exceptional else ' '}"
        ascent = mmss(rung.ascent.total_s)
        stops = stops_words([Stop(one.depth, one.minutes) for one in rung.ascent.stops], rung.schedule.unit)
        leave, surface = _leaving(rung, starts)
        lines.append(f"{leave:<10}{rung.schedule.name:<8}{marks}{ascent:<10}{surface}{stops}".rstrip())
    if result.ladder.after is not None:
        lines.append(f"none after: {result.ladder.after.reason}")
    return [*lines, "< in force for the time asked, ! exceptional exposure"]


def _starts(result: PlanResult) -> datetime | None:
    """Return when the surface was left, where a clock time of leaving the bottom is known."""
    return None if result.leave_at is None else result.leave_at - timedelta(minutes=result.minutes)


def _leaving(rung: Rung, starts: datetime | None) -> tuple[str, str]:
    if rung.left_s is None:
        return "no limit", "" if starts is None else f"{'-':<10}"
    if starts is None:
        return hmm(rung.left_s // 60), ""
    leave = starts + timedelta(seconds=rung.left_s)
    return clock_time(leave), f"{clock_time(leave + timedelta(seconds=rung.ascent.total_s)):<10}"


def _chamber_periods(result: PlanResult) -> float:
    """Return the periods on oxygen in the chamber, 0 where the ascent does not end there."""
    return (result.schedule.chamber_periods or 0.0) if result.gas == "surface_oxygen" else 0.0


def _oxygen_lines(tables: Tables, result: PlanResult) -> list[str]:
    rules, clock = tables.file.oxygen, result.ascent.clock
    if _chamber_periods(result):
        return [
            f"Chamber       {_chamber_periods(result):g} periods of 30 min on oxygen, the first at 50 fsw"
        ]
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
        lines.append(f"Surface       {_clock(leave_at, ascent.surface_ms)}")
    return lines


def _site_lines(tables: Tables, result: PlanResult) -> list[str]:
    """Return what each stop is in the table and on the gauge, where the altitude makes these differ."""
    printed = (stop.depth for stop in result.schedule.stops_on(result.gas))
    stops = site_stops(tables, result.site, printed, result.gauge)
    return [f"Stop depth    {one.words(result.schedule.unit)}" for one in stops]


def _total_words(result: PlanResult) -> str:
    schedule, unit = result.schedule, result.schedule.unit
    if _chamber_periods(result):
        return f"{mmss(result.ascent.total_s)} to the surface, then the chamber at once: 5:00 to 50 fsw there"
    printed = f"printed for {schedule.table_depth} {unit}: {mmss(schedule.total_on(result.gas))}"
    return f"{mmss(result.ascent.total_s)} from {depth_text(result.depth, unit)} ({printed})"


def _clock(leave_at: datetime | None, milliseconds: int, before: str = "") -> str:
    return "" if leave_at is None else before + clock_time(leave_at + milliseconds * MILLISECOND)


def _next_words(result: PlanResult) -> str:
    after, schedule = result.ahead.next, result.schedule
    if after is None:
        return "none: no limit there"
    if isinstance(after, NoSchedule):
        return f"NONE after {schedule.holds_to_min} min: the tables print no schedule for longer"
    alarm = "EXCEPTIONAL: " if result.ahead.exceptional_next else ""
    if _chamber_periods(result):
        return (
            f"{alarm}{after.name} after {schedule.holds_to_min} min: {after.chamber_periods or 'no'} periods"
        )
    stops = stops_here(result.site, after.stops_on(result.gas), after.unit)
    words = f"{after.name} after {schedule.holds_to_min} min: {stops}"
    return f"{alarm}{words}, total {mmss(after.total_on(result.gas))}"
