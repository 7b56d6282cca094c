"""The way up gone through mark by mark: each delay judged by the rule of its place, each re-look-up made.

USN Rev 7, air, as in `delays`. A delay that nobody has ended yet counts as if the mark that ends it were
taken at this moment. Everything follows from the marks and the moment, never from when somebody looked.
"""

from dataclasses import replace

from station.dive.ascent import Taken, left_at_ms
from station.dive.choice_words import NO_STOP_DELAY, STAYING_ON, STOP_AFTER_DELAY, TIME_SPENT, joined
from station.dive.delays import Column, column_at, column_before_first, counted_minutes, next_step, steps
from station.dive.learn import learn, merged
from station.dive.schedule import Stop
from station.dive.text import depth_text, mmss
from station.dive.times import MS_PER_MIN, MS_PER_S, minutes_up, seconds_up
from station.dive.trail_lines import Deviation, Effect, Kind, RuleName
from station.dive.way import (
    Course,
    Way,
    before_first,
    deeper_first,
    figures,
    from_here,
    in_full,
    kept_words,
    noted,
    plan_of,
    with_extra,
)

Reached = tuple[float, Taken]
_RULE: dict[Kind, RuleName] = {
    "before the first stop": "delay before the first stop",
    "leaving a stop": "delay leaving a stop",
    "between stops": "delay between stops",
}


def go_up(course: Course, way: Way) -> Way:
    """Return the way up with everything that its marks, and the time that passes, have made of it."""
    reached = sorted(course.progress.stops.items(), key=lambda one: (one[1].reached_ms, -one[0]))
    way = _to_first_stop(course, way, reached[0] if reached else None)
    for number, (depth, taken) in enumerate(reached):
        left = left_at_ms(course.tables, depth, taken, course.progress.surfaced_ms)
        way = _at_stop(course, way, depth, left)
        if left is None:
            break
        way = _between(course, way, (depth, left), reached[number + 1 : number + 2])
    return way


def _travel_ms(course: Course, deep: float, shallow: float) -> int:
    return course.tables.file.ascent.travel_s(deep, shallow) * MS_PER_S


def _to_first_stop(course: Course, way: Way, first: Reached | None) -> Way:
    """Go from the bottom to the first stop, or to the surface where none is planned.

    Deeper: bottom time + minutes, looked up again. Shallower: first stop + minutes. A no-stop dive always
    the former, unless the station chose otherwise. A new schedule's deeper first stop is what to be late for.
    """
    to, minutes, at = way.first, 0, 0
    until = first[1].reached_ms if first else course.end_ms
    column: Column | None = None
    why = ""
    while True:
        due = _travel_ms(course, course.departure, to)
        more, then = next_step(course.rules, due, minutes, at)
        way = learn(course, way, min(then, until), None)
        there = first[0] if first and then > until else 0.0
        deeper = deeper_first(course, way, to, at, (there, until))
        if deeper:
            to, at = deeper
            continue
        if then > until:
            break
        minutes, at = more, then
        if column is None:
            column, why = _judged(course, way, at)
        before = way
        if _is_bottom_time(course, way, column):
            way = before_first(course, replace(way, delay_min=minutes), at)
        else:
            stops = with_extra(way.stops, minutes - way.extra_min)
            way = replace(way, stops=stops, extra_min=minutes)
        way = _step(course, before, way, (minutes, at), ("before the first stop", why))
    ended = first is not None or course.progress.surfaced_ms is not None
    way = _ended(course, way, until, "before the first stop") if ended else way
    otherwise: Effect = "first stop" if way.stops else "none"
    effect: Effect = "bottom time" if _is_bottom_time(course, way, column) else otherwise
    where: tuple[Kind, float, float] = ("before the first stop", course.departure, to)
    way = _deviation(course, way, where, (due, until, ended), (column, effect))
    return merged(course, way, until, max(first[0], way.first)) if first else way


def _judged(course: Course, way: Way, at_ms: int) -> tuple[Column, str]:
    """Return the column of a delay before the first stop, and the choices that decided, in words."""
    column, why = column_before_first(
        course.tables, course.rules, course.departure, course.places, at_ms, choices=course.choices
    )
    if way.first or column == "deeper":
        return column, why
    return column, joined(why, NO_STOP_DELAY[course.choices.no_stop_delay])


def _is_bottom_time(course: Course, way: Way, column: Column | None) -> bool:
    """Whether a delay before the first stop is added to the bottom time."""
    no_stop = not way.first and course.choices.no_stop_delay == "bottom time"
    return column != "shallower" or no_stop


def _at_stop(course: Course, way: Way, depth: float, left_ms: int | None) -> Way:
    """Stay at a stop until it was left. Deeper: every overrun is added, and the new schedule taken up here.

    By the usual choices the time already spent counts, and what the new schedule itself asks for here is no
    delay, so a diver who stays for it is late again only after that.
    """
    column = column_at(course.rules, depth)
    until = course.end_ms if left_ms is None else left_ms
    where: tuple[Kind, float, float] = ("leaving a stop", depth, depth)
    while True:
        way = learn(course, way, min(until, _due_ms(course, way, depth)), depth)
        due = _due_ms(course, way, depth)
        way, stays = _overrun(course, way, depth, (due, until), column)
        ended = stays is not None or left_ms is not None
        effect = _effect(course, way, depth, column, until)
        way = _deviation(
            course, way, where, (due, until if stays is None else stays, ended), (column, effect)
        )
        if stays is None:
            break
    way = learn(course, way, until, depth)
    return way if left_ms is None else _ended(course, way, until, "leaving a stop")


def _overrun(
    course: Course, way: Way, depth: float, span: tuple[int, int], column: Column
) -> tuple[Way, int | None]:
    """Return the way after an overrun, and when a new schedule asked the diver to stay on, if one did."""
    base, owed = way.delay_min, _minutes(way, depth)
    for minutes, at in steps(course.rules, *span):
        way = learn(course, way, at, depth)
        if column == "shallower":
            return _shallow(course, way, at, depth), None
        before = way
        way = from_here(course, replace(way, delay_min=base + minutes), depth, deeper_time=False)
        if course.choices.overrun_time_spent == "does not count":
            way = in_full(course, way, Stop(depth, owed + minutes))
        due = span[0] + MS_PER_MIN * (_minutes(way, depth) - owed)
        why = _overrun_words(course, before, way, depth, stays=due > at)
        way = _step(course, before, way, (minutes, at), ("leaving a stop", why))
        if due > at and course.choices.stay_for_new_schedule == "no delay":
            return way, at
    return way, None


def _overrun_words(course: Course, before: Way, after: Way, depth: float, *, stays: bool) -> str:
    choices = course.choices
    return joined(
        TIME_SPENT[choices.overrun_time_spent],
        STAYING_ON[choices.stay_for_new_schedule] if stays else "",
        kept_words(course, before, after, depth),
    )


def _shallow(course: Course, way: Way, at_ms: int, depth: float) -> Way:
    if way.oxygen is not None and _effect(course, way, depth, "shallower", at_ms) == "oxygen time":
        last = depth <= min(way.oxygen.depths)
        words = "adds nothing" if last else "is taken off the oxygen time of the last stop"
        return noted(course, way, at_ms, "late on oxygen", f"late leaving {_at(course, depth)}: {words}")
    words = f"late leaving {_at(course, depth)}: ignored, the schedule goes on"
    return noted(course, way, at_ms, "delay leaving a stop", words)


def _between(course: Course, way: Way, left: tuple[float, int], following: list[Reached]) -> Way:
    """Go from one stop to the next, or to the surface, which is recorded only.

    The deeper of the two decides the column. Deeper: bottom time + minutes, looked up again, taken up at
    the next stop. In both, after a delay too long to be let pass, the next stop runs from arrival by the
    usual choice.
    """
    depth, left_ms = left
    to_come = [stop.depth for stop in way.stops if stop.depth < depth]
    surfaced = course.progress.surfaced_ms is not None
    to = max([0.0, *to_come[:1], *(one[0] for one in following)])
    until = following[0][1].reached_ms if following else course.end_ms
    due = left_ms + _travel_ms(course, depth, to)
    if not to:
        way = learn(course, way, until, depth)
        where: tuple[Kind, float, float] = ("to the surface", depth, 0.0)
        return _deviation(course, way, where, (due, until, True), (None, "recorded")) if surfaced else way
    column = column_at(course.rules, depth)
    base = way.delay_min
    for minutes, at in steps(course.rules, due, until):
        way = learn(course, way, at, to)
        before = way
        if column == "shallower":
            way = _late_above(course, way, at, depth, to)
            break
        way = from_here(course, replace(way, delay_min=base + minutes), to, deeper_time=False)
        runs = f"the stop at {_at(course, to)} {STOP_AFTER_DELAY[course.choices.stop_after_delay]}"
        why = joined(runs, kept_words(course, before, way, to))
        way = _step(course, before, way, (minutes, at), ("between stops", why))
    way = learn(course, way, until, to)
    ended = bool(following) or surfaced
    way = _ended(course, way, until, "between stops") if ended else way
    effect = _effect(course, way, depth, column, until)
    return _deviation(course, way, ("between stops", depth, to), (due, until, ended), (column, effect))


def _late_above(course: Course, way: Way, at_ms: int, depth: float, to: float) -> Way:
    if _effect(course, way, depth, "shallower", at_ms) == "oxygen time":
        words = f"late below {_at(course, to)}: taken off the oxygen time there"
        return noted(course, way, at_ms, "late on oxygen", words)
    on_oxygen = way.oxygen is not None and way.oxygen.covers(to)
    runs = "runs on oxygen" if on_oxygen else STOP_AFTER_DELAY[course.choices.stop_after_delay]
    words = f"delay below {_at(course, to)}: the schedule goes on, that stop {runs}"
    return noted(course, way, at_ms, "delay between stops", words)


def _effect(course: Course, way: Way, depth: float, column: Column, at_ms: int) -> Effect:
    """Return what a delay leaving a stop, or after it, leads to; oxygen lost by then no longer counts."""
    if column == "deeper":
        return "bottom time"
    lost = course.progress.lost_ms
    on_oxygen = way.oxygen is not None and way.oxygen.covers(depth) and (lost is None or lost > at_ms)
    return "oxygen time" if on_oxygen else "none"


def _step(course: Course, before: Way, after: Way, counted: tuple[int, int], told: tuple[Kind, str]) -> Way:
    """Note a step of a delay: the first one, and each that changes schedule or stops."""
    minutes, at_ms = counted
    kind, why = told
    first = minutes == minutes_up(course.rules.ignored_up_to_s * MS_PER_S + 1)
    if not first and figures(course, after).plan == figures(course, before).plan:
        return after
    words = joined(f"{kind}: delayed, counts as {minutes} min so far", why)
    return noted(course, after, at_ms, _RULE[kind], words)


def _ended(course: Course, way: Way, at_ms: int, kind: Kind) -> Way:
    """Note the end of a delay by a mark, when it came to more than the last line says."""
    if figures(course, way) == way.shown:
        return way
    return noted(
        course, way, at_ms, _RULE[kind], f"{kind}: delay ended, delays count {way.delay_min} min in all"
    )


def _deviation(
    course: Course,
    way: Way,
    where: tuple[Kind, float, float],
    span: tuple[int, int, bool],
    judged: tuple[Column | None, Effect],
) -> Way:
    """Record a delay from when it began to when it ended, or now; one let pass only once it has ended."""
    due, until, ended = span
    delay = until - due
    minutes = counted_minutes(course.rules, delay)
    if delay <= 0 or not (ended or minutes):
        return way
    column, effect = judged
    passes = not minutes and effect != "recorded"
    one = Deviation(
        *where, course.times.at(due), delay, minutes, column, "let pass" if passes else effect, not ended
    )
    return replace(way, deviations=(*way.deviations, one))


def delay_words(one: Deviation, unit: str) -> str:
    """Return a deviation in one line for people; its seconds are rounded up."""
    to = f" to {depth_text(one.to_depth, unit)}" if one.to_depth != one.from_depth else ""
    counted = f", counts as {one.minutes} min" if one.minutes else ""
    return (
        f"{one.kind}, {depth_text(one.from_depth, unit)}{to}: {mmss(seconds_up(one.delay_ms))} late{counted} "
        f"({one.effect})"
    )


def _at(course: Course, depth: float) -> str:
    return depth_text(depth, course.tables.unit)


def _minutes(way: Way, depth: float) -> int:
    return next((stop.minutes for stop in way.stops if stop.depth == depth), 0)


def _due_ms(course: Course, way: Way, depth: float) -> int:
    return next(one.due_leave_ms for one in plan_of(course, way).stops if one.depth == depth)
