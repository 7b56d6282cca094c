"""The plan of an ascent as it stands, and the ways in which it changes: looked up again, taken up, merged."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from station.dive.ascent import Ascent, Progress, ascend, never_deeper
from station.dive.choice_words import LOOK_UP_AGAIN
from station.dive.choices import Choices
from station.dive.delays import Place
from station.dive.entering import Entering, entering, heaviest
from station.dive.facts import DiveFacts
from station.dive.known import Known
from station.dive.marks import Times
from station.dive.oxygen import OxygenPlan, oxygen_plan
from station.dive.schedule import NoSchedule, Schedule, Stop
from station.dive.surface import water_stops
from station.dive.text import depth_text
from station.dive.trail_lines import Deviation, Figures, Line, RuleName, schedule_name
from station.tables.model import DelayRules, Tables


@dataclass(frozen=True)
class Course:
    """What does not change while an ascent is gone through: tables, facts, marks, where it began.

    `minutes` is the bottom time, on deck the planned one; `later` is what became known on the way up.
    """

    tables: Tables
    choices: Choices
    rules: DelayRules
    facts: DiveFacts
    times: Times
    progress: Progress
    places: tuple[Place, ...]
    departure: float
    later: tuple[tuple[int, Known], ...]
    minutes: int

    @property
    def end_ms(self) -> int:
        """The surface once it was reached, else now."""
        up = self.progress.surfaced_ms
        return self.progress.now_ms if up is None else up


@dataclass(frozen=True)
class Way:
    """An ascent gone through up to some moment.

    `stops` is everything owed, what is served included; `first` is the depth of the first stop as planned,
    0 without one, and `extra_min` what was added to it. `shown` are the figures of the last line.
    """

    known: Known
    entering: Entering
    schedule: Schedule | NoSchedule
    stops: tuple[Stop, ...]
    oxygen: OxygenPlan | None
    first: float
    shown: Figures
    delay_min: int = 0
    extra_min: int = 0
    learnt: int = 0
    placed: int = 0
    lines: tuple[Line, ...] = ()
    deviations: tuple[Deviation, ...] = field(default=())


def look_up(course: Course, known: Known, delay_min: int) -> tuple[Entering, Schedule | NoSchedule]:
    """Return what enters the tables, and the schedule for it; delays of the ascent are added to the time."""
    at = max(course.times.leaving, known.at)
    return schedule_at(course, known, at, delay_min)


def schedule_at(
    course: Course, known: Known, at: datetime, delay_min: int = 0
) -> tuple[Entering, Schedule | NoSchedule]:
    """Return what enters the tables at a moment, and the schedule for it."""
    ways = entering(course.tables, course.facts, known, course.times.left_bottom, course.choices)
    return heaviest(ways, at, delay_min, course.facts.gas)


def stops_of(
    course: Course, way_in: Entering, schedule: Schedule
) -> tuple[tuple[Stop, ...], OxygenPlan | None]:
    """Return the stops owed by a schedule on the gas chosen, at the site, and how oxygen is breathed there.

    Which stops are on oxygen, and which are left to the chamber, goes by the depths of the table; only then
    are they brought to the altitude of the site.
    """
    gas, site = course.facts.gas, way_in.site
    oxygen = oxygen_plan(course.tables.file.oxygen, schedule) if gas == "air_oxygen" else None
    stops = schedule.stops_on(gas)
    if gas == "surface_oxygen" and schedule.chamber_periods:
        stops = water_stops(stops)
    if not site.applies:
        return stops, oxygen
    here = tuple(Stop(site.stop_depth(stop.depth), stop.minutes) for stop in stops)
    return here, None if oxygen is None else oxygen.moved(site.stop_depth)


def begin(course: Course, known: Known) -> Way:
    """Return the way up as planned when the bottom was left."""
    way_in, schedule = look_up(course, known, 0)
    stops, oxygen = stops_of(course, way_in, schedule) if isinstance(schedule, Schedule) else ((), None)
    owed = never_deeper(stops, course.departure)
    first = owed[0].depth if owed else 0.0
    shown = figures_of(course, known, (way_in, schedule), max(course.times.leaving, known.at))
    way = Way(known, way_in, schedule, owed, oxygen, first, shown)
    if owed == stops or course.times.left_bottom is None:
        return way
    here = depth_text(course.departure, course.tables.unit)
    return noted(course, way, 0, "nobody goes down", f"leaving from {here}: deeper stops are served there")


def figures_of(
    course: Course, known: Known, plan: tuple[Entering, Schedule | NoSchedule], at: datetime
) -> Figures:
    """Return the figures of a plan without delays, at a moment."""
    way_in, schedule = plan
    own = way_in.running[0]
    return Figures(
        depth=known.depth,
        bottom_min=own.minutes(at) - own.added_min,
        residual_min=own.added_min,
        delay_min=0,
        schedule=schedule_name(schedule),
        stops=stops_of(course, way_in, schedule)[0] if isinstance(schedule, Schedule) else (),
        others_min=way_in.others_min(at),
    )


def figures(course: Course, way: Way) -> Figures:
    """Return the figures of the plan as it stands."""
    return replace(
        way.shown,
        depth=way.known.depth,
        residual_min=way.entering.running[0].added_min,
        others_min=way.entering.others_min(max(course.times.leaving, way.known.at)),
        delay_min=way.delay_min,
        schedule=schedule_name(way.schedule),
        stops=way.stops,
    )


def noted(course: Course, way: Way, at_ms: int, rule: RuleName, words: str) -> Way:
    """Return the way with a line more in its trail."""
    after = figures(course, way)
    line = Line(course.times.at(at_ms), rule, way.shown, after, words)
    return replace(way, lines=(*way.lines, line), shown=after)


def plan_of(course: Course, way: Way) -> Ascent:
    """Return when everything that is owed begins and ends."""
    return ascend(
        course.tables, way.stops, course.departure, course.progress, way.oxygen, choices=course.choices
    )


def before_first(course: Course, way: Way, at_ms: int) -> Way:
    """Return the way with its schedule looked up again before the first stop was reached.

    Nobody goes down for a stop of the new schedule: all deeper time is served where the diver is known to be,
    in front of that depth's own; a stop of the old one that was passed stays where it was.
    """
    way_in, schedule = look_up(course, way.known, way.delay_min)
    way = replace(way, entering=way_in, schedule=schedule)
    if isinstance(schedule, NoSchedule):
        return way
    stops, oxygen = stops_of(course, way_in, schedule)
    owed = with_extra(never_deeper(stops, cap(course, way, at_ms)), way.extra_min)
    return replace(way, stops=owed, oxygen=oxygen)


def deeper_first(
    course: Course, way: Way, to: float, at_ms: int, reached: tuple[float, int]
) -> tuple[float, int] | None:
    """Return a first stop deeper than `to`, planned by now or reached, and from when the way leads there."""
    top = way.stops[0].depth if way.stops else 0.0
    if top > to:
        return top, max(at_ms, course.later[way.learnt - 1][0] if way.learnt else 0)
    return reached if reached[0] > to else None


def cap(course: Course, way: Way, at_ms: int) -> float:
    """Return the greatest depth at which a stop may be asked for before the first one is reached."""
    seen = [place.depth for place in course.places if place.at_ms <= at_ms]
    return max(min([course.departure, *seen]), min(way.first, course.departure))


def with_extra(stops: tuple[Stop, ...], extra_min: int) -> tuple[Stop, ...]:
    """Return the stops with minutes added to the first."""
    if not stops or not extra_min:
        return stops
    return Stop(stops[0].depth, stops[0].minutes + extra_min), *stops[1:]


def from_here(course: Course, way: Way, here: float, *, deeper_time: bool) -> Way:
    """Return the way with its schedule looked up again and taken up at a stop, or on the way to it.

    What the new schedule has deeper than that is ignored after a delay (from memory: Rev 6/7); where the dive
    turned out deeper, what was not served of it is served here (station choice). No stop becomes shorter
    than it was owed before, unless the station chose those to come as printed.
    """
    way_in, schedule = look_up(course, way.known, way.delay_min)
    way = replace(way, entering=way_in, schedule=schedule)
    if isinstance(schedule, NoSchedule):
        return way
    stops, oxygen = stops_of(course, way_in, schedule)
    old = {stop.depth: stop.minutes for stop in way.stops}
    new = {stop.depth: stop.minutes for stop in stops}
    missed = sum(max(0, new[depth] - old.get(depth, 0)) for depth in new if depth > here)
    owed = {depth: minutes for depth, minutes in old.items() if depth > here}
    printed = course.choices.look_up_again == "stops to come as printed"
    for depth in sorted({*old, *new, here}, reverse=True):
        if depth <= here:
            before = 0 if depth < here and printed else old.get(depth, 0)
            minutes = max(before, new.get(depth, 0))
            owed[depth] = minutes + (missed if deeper_time and depth == here else 0)
    return replace(way, stops=_listed(owed, old), oxygen=oxygen or way.oxygen)


def in_full(course: Course, way: Way, spent: Stop) -> Way:
    """Return the way with the new schedule's time at a stop served after what was spent there."""
    if isinstance(way.schedule, NoSchedule):
        return way
    new = {stop.depth: stop.minutes for stop in stops_of(course, way.entering, way.schedule)[0]}
    if not new.get(spent.depth):
        return way
    whole = spent.minutes + new[spent.depth]
    stops = tuple(
        Stop(one.depth, max(one.minutes, whole)) if one.depth == spent.depth else one for one in way.stops
    )
    return replace(way, stops=stops)


def kept_words(course: Course, before: Way, after: Way, here: float) -> str:
    """Return the choice on stops that a new schedule prints shorter, where it prints one so; else ""."""
    if isinstance(after.schedule, NoSchedule):
        return ""
    new = {stop.depth: stop.minutes for stop in stops_of(course, after.entering, after.schedule)[0]}
    shorter = any(new.get(stop.depth, 0) < stop.minutes for stop in before.stops if stop.depth < here)
    return LOOK_UP_AGAIN[course.choices.look_up_again] if shorter else ""


def _listed(owed: Mapping[float, int], old: Mapping[float, int]) -> tuple[Stop, ...]:
    return tuple(
        Stop(depth, owed[depth]) for depth in sorted(owed, reverse=True) if owed[depth] or depth in old
    )


def change_rule(before: Known, after: Known) -> RuleName:
    """Return the rule by which what is known changed."""
    if after.lengthen != before.lengthen:
        return "cold or arduous"
    return "divers together" if after.others != before.others else "depth of dive"
