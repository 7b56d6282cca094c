"""Following a dive: from its facts and the moment, every figure of one diver's lane."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from station.dive.ascent import PLANNED, Ascent, Progress, StopTimes, Taken, ascend
from station.dive.choices import Choices
from station.dive.depth import DepthOfDive, departure_depth, depth_of_dive
from station.dive.facts import DiveFacts
from station.dive.schedule import Ahead, NoSchedule, Schedule, ahead, select
from station.dive.times import (
    MS_PER_MIN,
    MS_PER_S,
    bottom_minutes,
    descent_minutes,
    seconds_down,
    seconds_up,
)
from station.events import MarkName
from station.moments import MILLISECOND, ms_between
from station.tables.model import Tables

Phase = Literal["on deck", "descending", "on the bottom", "ascending", "at a stop", "at the surface"]
StopState = Literal["to come", "here", "done", "left early", "passed"]
DEFAULTS = Choices()


@dataclass(frozen=True)
class StopLine:
    """One stop: when it is due and was taken, what of it is served, and what is left.

    `minutes` is 0 where a stop was marked that is not owed. `served_s` is rounded down; `remaining_s`,
    `wait_s` (the stop begins only then: the diver came early) and `missing_s` up.
    """

    depth: float
    minutes: int
    state: StopState
    due_arrive: datetime
    starts: datetime
    due_leave: datetime
    reached: datetime | None
    left: datetime | None
    served_s: int
    remaining_s: int
    wait_s: int
    missing_s: int


@dataclass(frozen=True)
class NextMark:
    """The mark expected next, and when it is due; `due` is None where nothing says when."""

    name: MarkName
    depth: float | None
    due: datetime | None


@dataclass(frozen=True)
class Live:
    """Everything true of a dive at one moment.

    Bottom time is in whole minutes rounded up, `row_left_s` rounded down, the other seconds rounded up.
    Before the bottom is left, the ascent is the one that holds if it were left now (on deck: after the
    planned time). Without a schedule there is no ascent: no stop, no total, no time at the surface.
    """

    now: datetime
    phase: Phase
    depth: DepthOfDive
    departure_depth: float
    bottom_min: int
    descent_min: int | None
    schedule: Schedule | NoSchedule
    ahead: Ahead | None
    row_left_s: int | None
    stops: tuple[StopLine, ...]
    next_mark: NextMark | None
    to_first_stop_s: int | None
    total_ascent_s: int | None
    surface_at: datetime | None
    decompression_s: int | None
    dive_s: int | None

    @property
    def stop(self) -> StopLine | None:
        """The stop that the diver is at."""
        return next((line for line in self.stops if line.state == "here"), None)

    @property
    def early(self) -> tuple[StopLine, ...]:
        """Stops left before their time was up, or passed: omitted decompression."""
        return tuple(line for line in self.stops if line.missing_s)


@dataclass(frozen=True)
class _Times:
    """The marks that open and close the parts of a dive, and the moments that stand in for missing ones."""

    now: datetime
    left_surface: datetime | None
    reached_bottom: datetime | None
    left_bottom: datetime | None
    reached_surface: datetime | None
    leaving: datetime


def follow(tables: Tables, facts: DiveFacts, now: datetime, choices: Choices = DEFAULTS) -> Live:
    """Return the live figures of a dive; the marks may be any that `order` allows, however many there are.

    A moment before the last mark counts as that mark's, so that no figure ever runs backwards.
    """
    times = _times(facts, now)
    depth = depth_of_dive(tables, facts, choices)
    departure = departure_depth(tables, facts, times.leaving, depth, choices)
    bottom_min = 0 if times.left_surface is None else bottom_minutes(times.left_surface, times.leaving)
    minutes = facts.planned_min if times.left_surface is None else bottom_min
    schedule = select(tables, depth.depth, minutes, lengthen=facts.lengthened)
    owed = schedule.stops if isinstance(schedule, Schedule) else ()
    ascent = ascend(tables, owed, departure, _progress(facts, times))
    stops = tuple(_line(one, times, ascent, tables, choices) for one in ascent.stops)
    known = isinstance(schedule, Schedule)
    surfaced = times.reached_surface
    return Live(
        now=times.now,
        phase=_phase(facts, times),
        depth=depth,
        departure_depth=departure,
        bottom_min=bottom_min,
        descent_min=_descent(times),
        schedule=schedule,
        ahead=ahead(tables, schedule) if isinstance(schedule, Schedule) else None,
        row_left_s=_row_left_s(schedule, times),
        stops=stops,
        next_mark=_next_mark(facts, times, stops, ascent, known=known),
        to_first_stop_s=ascent.to_first_stop_s if known else None,
        total_ascent_s=ascent.total_s if known or surfaced else None,
        surface_at=times.leaving + ascent.surface_ms * MILLISECOND if known or surfaced else None,
        decompression_s=_span_s(times.left_bottom, surfaced),
        dive_s=_span_s(times.left_surface, surfaced or times.now),
    )


def _times(facts: DiveFacts, now: datetime) -> _Times:
    if facts.marks:
        now = max(now, facts.marks[-1].at)
    left_surface = facts.time_of("left_surface")
    left_bottom, surfaced = facts.time_of("left_bottom"), facts.time_of("reached_surface")
    leaving = left_bottom or surfaced or now
    if left_surface is None:
        leaving = now + timedelta(minutes=facts.planned_min)
    return _Times(now, left_surface, facts.time_of("reached_bottom"), left_bottom, surfaced, leaving)


def _progress(facts: DiveFacts, times: _Times) -> Progress:
    if times.left_bottom is None and times.reached_surface is None:
        return PLANNED
    stops = {}
    for mark in facts.marks:
        if mark.name == "reached_stop" and mark.depth is not None:
            left = facts.stop_time("left_stop", mark.depth)
            left_ms = None if left is None else ms_between(times.leaving, left)
            stops[mark.depth] = Taken(ms_between(times.leaving, mark.at), left_ms)
    up = times.reached_surface
    surfaced_ms = None if up is None else ms_between(times.leaving, up)
    return Progress(ms_between(times.leaving, up or times.now), stops, surfaced_ms)


def _phase(facts: DiveFacts, times: _Times) -> Phase:
    if times.left_surface is None:
        return "on deck"
    if times.reached_surface is not None:
        return "at the surface"
    if times.left_bottom is not None:
        return "at a stop" if facts.marks[-1].name == "reached_stop" else "ascending"
    return "descending" if times.reached_bottom is None else "on the bottom"


def _descent(times: _Times) -> int | None:
    if times.left_surface is None or times.reached_bottom is None:
        return None
    return descent_minutes(times.left_surface, times.reached_bottom)


def _row_left_s(schedule: Schedule | NoSchedule, times: _Times) -> int | None:
    """Return the seconds until the schedule in force no longer holds, while the diver is on the bottom."""
    on_bottom = times.left_surface is not None and times.left_bottom is None and times.reached_surface is None
    if not on_bottom or times.left_surface is None or not isinstance(schedule, Schedule):
        return None
    if schedule.holds_to_min is None:
        return None
    return seconds_down(schedule.holds_to_min * MS_PER_MIN - ms_between(times.left_surface, times.now))


def _span_s(start: datetime | None, end: datetime | None) -> int | None:
    return None if start is None or end is None else seconds_up(ms_between(start, end))


def _line(one: StopTimes, times: _Times, ascent: Ascent, tables: Tables, choices: Choices) -> StopLine:
    now_ms = ms_between(times.leaving, times.now)
    left_ms = _left_ms(one, times, ascent, tables)
    missing_ms = _missing_ms(one, left_ms, choices)
    begun = one.taken is not None
    here = begun and left_ms is None
    return StopLine(
        depth=one.depth,
        minutes=one.minutes,
        state=_state(one, here=here, early=missing_ms > 0),
        due_arrive=_at(times, one.due_arrive_ms),
        starts=_at(times, one.start_ms),
        due_leave=_at(times, one.due_leave_ms),
        reached=_at(times, one.taken.reached_ms) if one.taken else None,
        left=_at(times, left_ms) if left_ms is not None else None,
        served_s=seconds_down(max(0, (now_ms if left_ms is None else left_ms) - one.start_ms))
        if begun
        else 0,
        remaining_s=seconds_up(max(0, one.due_leave_ms - max(now_ms, one.start_ms))) if here else 0,
        wait_s=seconds_up(max(0, one.start_ms - now_ms)) if here else 0,
        missing_s=seconds_up(missing_ms),
    )


def _at(times: _Times, milliseconds: int) -> datetime:
    return times.leaving + milliseconds * MILLISECOND


def _left_ms(one: StopTimes, times: _Times, ascent: Ascent, tables: Tables) -> int | None:
    """Return when a stop was left; without a mark, the latest moment from which the surface was reached."""
    if one.taken is None or one.taken.left_ms is not None or times.reached_surface is None:
        return one.taken.left_ms if one.taken else None
    travel_ms = tables.file.ascent.travel_s(one.depth, 0) * MS_PER_S
    return max(one.taken.reached_ms, ascent.surface_ms - travel_ms)


def _missing_ms(one: StopTimes, left_ms: int | None, choices: Choices) -> int:
    """Return what was not served of a stop that is over: nothing within the grace of `choices`."""
    whole = one.minutes * MS_PER_MIN
    if one.passed:
        return whole
    if left_ms is None:
        return 0
    missing = min(whole, one.due_leave_ms - left_ms)
    return missing if missing > choices.stop_left_early_grace_s * MS_PER_S else 0


def _state(one: StopTimes, *, here: bool, early: bool) -> StopState:
    if one.passed:
        return "passed"
    if one.taken is None:
        return "to come"
    if here:
        return "here"
    return "left early" if early else "done"


def _next_mark(
    facts: DiveFacts, times: _Times, stops: tuple[StopLine, ...], ascent: Ascent, *, known: bool
) -> NextMark | None:
    if times.reached_surface is not None:
        return None
    if times.left_surface is None:
        return NextMark("left_surface", None, None)
    if times.left_bottom is None:
        due = times.left_surface + timedelta(minutes=facts.planned_min)
        return (
            NextMark("left_bottom", None, due)
            if times.reached_bottom
            else NextMark("reached_bottom", None, None)
        )
    here = next((line for line in stops if line.state == "here"), None)
    if here is not None:
        return NextMark("left_stop", here.depth, here.due_leave if known else None)
    coming = next((line for line in stops if line.state == "to come"), None)
    if coming is not None:
        return NextMark("reached_stop", coming.depth, coming.due_arrive)
    return NextMark("reached_surface", None, _at(times, ascent.due_surface_ms) if known else None)
