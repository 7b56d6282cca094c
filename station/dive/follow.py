"""Following a dive: from its facts and the moment, every figure of one diver's lane."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from station.dive.altitude import Correction
from station.dive.ascent import Ascent, StopTimes, left_at_ms
from station.dive.choices import Choices
from station.dive.depth import DepthOfDive, depth_of_dive
from station.dive.facts import DiveFacts
from station.dive.marks import Times
from station.dive.oxygen_now import OxygenNow, next_turn, oxygen_now
from station.dive.plan_now import plan_now
from station.dive.rates import TooFast, too_fast, travel_began
from station.dive.schedule import Ahead, NoSchedule, Schedule, ahead
from station.dive.series import Residual
from station.dive.times import (
    MS_PER_MIN,
    MS_PER_S,
    descent_minutes,
    seconds_down,
    seconds_up,
)
from station.dive.trail_lines import Deviation
from station.dive.way import Course, Way, plan_of
from station.events import Gas, MarkName
from station.moments import ms_between
from station.tables.model import Tables

Phase = Literal["on deck", "descending", "on the bottom", "ascending", "at a stop", "at the surface"]
StopState = Literal["to come", "here", "done", "left early", "passed"]
DEFAULTS = Choices()


@dataclass(frozen=True)
class StopLine:
    """One stop: when it is due and was taken, what of it is served, and what is left.

    `minutes` is 0 where a stop was marked that is not owed; `on_oxygen` says that they are on oxygen.
    `served_s` is rounded down; `remaining_s`, `missing_s` and `wait_s` (the diver came early) up.
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
    on_oxygen: bool = False


@dataclass(frozen=True)
class NextMark:
    """The mark expected next, and when it is due; `due` is None where nothing says when."""

    name: MarkName
    depth: float | None
    due: datetime | None


@dataclass(frozen=True)
class Live:
    """Everything true of a dive at one moment.

    `entered_min` is what enters the tables: `residual_min` + bottom time (on deck the planned one), or
    `others_min`, the longest of the divers in company, + `delay_min`; `table_depth` the depth that does.
    `leads` says whose figures lead, "" for a diver alone. `too_fast` is the travel that the diver is on, or
    made last, where it was faster than allowed; `ask_where` says that a delay before the first stop counts
    and nobody has said yet where the diver is held; `held` that the diver is.
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
    gas: Gas
    residual: Residual
    site: Correction
    table_depth: float
    residual_min: int
    others_min: int
    leads: str
    delay_min: int
    deviations: tuple[Deviation, ...]
    ask_where: bool
    held: bool
    too_fast: TooFast | None
    oxygen: OxygenNow | None

    @property
    def entered_min(self) -> int:
        """The equivalent single dive time that the schedule was looked up for."""
        return self.schedule.minutes

    @property
    def exceptional(self) -> bool:
        """Whether the schedule in force is an exceptional exposure on its gas; air once oxygen was lost."""
        lost = self.oxygen is not None and self.oxygen.lost
        gas: Gas = "air" if lost else self.gas
        return isinstance(self.schedule, Schedule) and self.schedule.exceptional_on(gas)

    @property
    def stop(self) -> StopLine | None:
        """The stop that the diver is at."""
        return next((line for line in self.stops if line.state == "here"), None)

    @property
    def early(self) -> tuple[StopLine, ...]:
        """Stops left before their time was up, or passed: omitted decompression."""
        return tuple(line for line in self.stops if line.missing_s)


def follow(tables: Tables, facts: DiveFacts, now: datetime, choices: Choices = DEFAULTS) -> Live:
    """Return the live figures of a dive; the marks may be any that `order` allows, however many there are.

    A moment before the last mark counts as that mark's, so that no figure ever runs backwards.
    """
    course, way = plan_now(tables, facts, now, choices)
    return live_of(course, way, choices)


def live_of(course: Course, way: Way, choices: Choices) -> Live:
    """Return the figures of a plan as it stands."""
    tables, facts, times, schedule = course.tables, course.facts, course.times, way.schedule
    ascent = plan_of(course, way)
    stops = tuple(_line(one, course) for one in ascent.stops)
    known = isinstance(schedule, Schedule)
    surfaced = times.reached_surface
    return Live(
        now=times.now,
        phase=_phase(facts, times),
        depth=depth_of_dive(tables, facts, choices),
        departure_depth=course.departure,
        bottom_min=times.bottom_min,
        descent_min=_descent(times),
        schedule=schedule,
        ahead=ahead(tables, schedule, facts.gas) if isinstance(schedule, Schedule) else None,
        row_left_s=_row_left_s(course, way),
        stops=stops,
        next_mark=_next_mark(course, way, stops, ascent),
        to_first_stop_s=ascent.to_first_stop_s if known else None,
        total_ascent_s=ascent.total_s if known or surfaced else None,
        surface_at=times.at(ascent.surface_ms) if known or surfaced else None,
        decompression_s=_span_s(times.left_bottom, surfaced),
        dive_s=_span_s(times.left_surface, surfaced or times.now),
        gas=facts.gas,
        residual=way.entering.residual,
        site=way.entering.site,
        table_depth=way.entering.depth,
        residual_min=way.entering.running[0].added_min,
        others_min=way.entering.others_min(max(times.leaving, way.known.at)),
        leads=way.entering.company_words(max(times.leaving, way.known.at)),
        delay_min=way.delay_min,
        deviations=way.deviations,
        ask_where=_ask_where(course, way),
        held=_held(facts),
        too_fast=_too_fast(course),
        oxygen=oxygen_now(course, way, ascent),
    )


def _ask_where(course: Course, way: Way) -> bool:
    running = [one for one in way.deviations if one.running and one.kind == "before the first stop"]
    return bool(running) and not course.places


def _held(facts: DiveFacts) -> bool:
    """Whether the diver was last marked as held, and nothing since."""
    return bool(facts.marks) and facts.marks[-1].name == "held"


def _too_fast(course: Course) -> TooFast | None:
    """Return the fastest finding of the travel that the diver is on, or made last."""
    since = travel_began(course.facts, course.times)
    found = too_fast(course.tables, course.facts, course.times, course.departure)
    here = [one for one in found if since is not None and one.at >= since]
    return max(here, key=lambda one: one.rate, default=None)


def _phase(facts: DiveFacts, times: Times) -> Phase:
    if times.left_surface is None:
        return "on deck"
    if times.reached_surface is not None:
        return "at the surface"
    if times.left_bottom is not None:
        stops = [mark.name for mark in facts.marks if mark.name in {"reached_stop", "left_stop"}]
        return "at a stop" if stops[-1:] == ["reached_stop"] else "ascending"
    return "descending" if times.reached_bottom is None else "on the bottom"


def _descent(times: Times) -> int | None:
    if times.left_surface is None or times.reached_bottom is None:
        return None
    return descent_minutes(times.left_surface, times.reached_bottom)


def _row_left_s(course: Course, way: Way) -> int | None:
    """Return the seconds until the schedule in force no longer holds, while the diver is on the bottom."""
    times = course.times
    on_bottom = times.left_surface is not None and times.left_bottom is None and times.reached_surface is None
    if not on_bottom or not isinstance(way.schedule, Schedule):
        return None
    until = way.entering.holds_until(times.now)
    return None if until is None else seconds_down(ms_between(times.now, until))


def _span_s(start: datetime | None, end: datetime | None) -> int | None:
    return None if start is None or end is None else seconds_up(ms_between(start, end))


def _line(one: StopTimes, course: Course) -> StopLine:
    times, up = course.times, course.progress.surfaced_ms
    now_ms = times.ms(times.now)
    left = left_at_ms(course.tables, one.depth, one.taken, up) if one.taken else None
    missing_ms = _missing_ms(one, left, course.choices)
    begun = one.taken is not None
    here = begun and left is None
    served = max(0, (now_ms if left is None else left) - one.start_ms)
    if one.served_ms is not None:
        served = one.served_ms
    return StopLine(
        depth=one.depth,
        minutes=one.minutes,
        state=_state(one, here=here, early=missing_ms > 0),
        due_arrive=times.at(one.due_arrive_ms),
        starts=times.at(one.start_ms),
        due_leave=times.at(one.due_leave_ms),
        reached=times.at(one.taken.reached_ms) if one.taken else None,
        left=times.at(left) if left is not None else None,
        served_s=seconds_down(served) if begun else 0,
        remaining_s=seconds_up(max(0, one.due_leave_ms - max(now_ms, one.start_ms))) if here else 0,
        wait_s=seconds_up(max(0, one.start_ms - now_ms)) if here else 0,
        missing_s=seconds_up(missing_ms),
        on_oxygen=one.served_ms is not None,
    )


def _missing_ms(one: StopTimes, left: int | None, choices: Choices) -> int:
    """Return what was not served of a stop that is over: nothing within the grace of `choices`."""
    whole = one.minutes * MS_PER_MIN
    if one.passed:
        return whole
    if left is None:
        return 0
    missing = min(whole, one.due_leave_ms - left)
    return missing if missing > choices.stop_left_early_grace_s * MS_PER_S else 0


def _state(one: StopTimes, *, here: bool, early: bool) -> StopState:
    if one.passed:
        return "passed"
    if one.taken is None:
        return "to come"
    if here:
        return "here"
    return "left early" if early else "done"


def _next_mark(course: Course, way: Way, stops: tuple[StopLine, ...], ascent: Ascent) -> NextMark | None:
    times, known = course.times, isinstance(way.schedule, Schedule)
    if times.reached_surface is not None:
        return None
    if times.left_surface is None:
        return NextMark("left_surface", None, None)
    if times.left_bottom is None:
        due = times.left_surface + timedelta(minutes=course.facts.planned_min)
        on_bottom = times.reached_bottom is not None
        return NextMark("left_bottom", None, due) if on_bottom else NextMark("reached_bottom", None, None)
    here = next((line for line in stops if line.state == "here"), None)
    if here is not None:
        turn = next_turn(course, ascent, here.depth, here.due_leave)
        due_leave = here.due_leave if known or here.minutes else None
        return NextMark(turn[0], None, turn[1]) if turn else NextMark("left_stop", here.depth, due_leave)
    coming = next((line for line in stops if line.state == "to come"), None)
    if coming is not None:
        return NextMark("reached_stop", coming.depth, coming.due_arrive)
    return NextMark("reached_surface", None, times.at(ascent.due_surface_ms) if known else None)
