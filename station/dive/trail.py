"""The trail of a dive: every rule applied, when, and what the plan was before and after.

It is derived from the facts alone and the same at whatever moment it is asked for: between marks, a later
one only has more lines. A line that changes no figure says so by having the same before and after.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from station.dive.ascent import passed_ms
from station.dive.choices import Choices
from station.dive.depth import has_fresh_reading
from station.dive.entering import entering
from station.dive.facts import DiveFacts
from station.dive.follow import DEFAULTS, Live, live_of
from station.dive.known import Known, known_over_time
from station.dive.plan_now import plan_now
from station.dive.rates import too_fast
from station.dive.text import GAS_WORDS, depth_text, mmss, stops_words
from station.dive.times import bottom_minutes, seconds_up
from station.dive.trail_lines import Figures, Line, RuleName
from station.dive.way import Course, Way, change_rule, figures_of, plan_of, schedule_at
from station.moments import MILLISECOND
from station.tables.model import Tables


def trail(tables: Tables, facts: DiveFacts, now: datetime, choices: Choices = DEFAULTS) -> tuple[Line, ...]:
    """Return every line of the trail up to a moment, in the order of time; empty on deck."""
    course, way = plan_now(tables, facts, now, choices)
    if course.times.left_surface is None:
        return ()
    below = list(_below(course, course.times.left_surface, choices))
    lines = [*below, *_turned(way.lines, below)]
    lines += list(_besides(course, way, live_of(course, way, choices), lines))
    return tuple(sorted(lines, key=lambda line: line.at))


def line_words(line: Line, unit: str) -> str:
    """Return a line for people: what happened, and what it made of the plan."""
    before, after = line.before, line.after
    if before == after:
        return f"{line.words} ({line.source})"
    changes = []
    if before.entered_min != after.entered_min:
        changes.append(f"time {before.entered_min} -> {after.entered_min} min")
    if before.schedule != after.schedule:
        changes.append(f"schedule {before.schedule} -> {after.schedule}")
    if before.stops != after.stops:
        changes.append(f"stops {stops_words(before.stops, unit)} -> {stops_words(after.stops, unit)}")
    return f"{line.words}: {'; '.join(changes) or 'depth only'} ({line.source})"


def _below(course: Course, left: datetime, choices: Choices) -> Iterator[Line]:
    """Yield the lines of the way down and of the bottom: rows entered as time passes, depths, decisions."""
    shown: Figures | None = None
    known = known_over_time(course.tables, course.facts, choices)
    for number, one in enumerate(known):
        if one.at > course.times.leaving:
            return
        until = known[number + 1].at if number + 1 < len(known) else course.times.leaving
        rule: RuleName = change_rule(known[number - 1], one) if number else "surface left"
        line = _moved(course, one, one.at, (rule, one.cause))
        yield _after(line, shown, left)
        shown = line.after
        for at in _row_ends(course, one, min(until, course.times.leaving)):
            line = _moved(course, one, at, ("next longer row", "bottom time"))
            yield _after(line, shown, left)
            shown = line.after


def _after(line: Line, shown: Figures | None, left: datetime) -> Line:
    """Return a line with the plan before it, at the bottom time of just before."""
    if shown is None:
        return line
    return replace(line, before=replace(shown, bottom_min=bottom_minutes(left, line.at - MILLISECOND)))


def _row_ends(course: Course, known: Known, until: datetime) -> Iterator[datetime]:
    """Yield each moment at which a row no longer held; what became known at that very moment comes first."""
    ways = entering(course.tables, course.facts, known, None, course.choices)
    at = known.at
    while True:
        ends = [end for one in ways if (end := one.holds_until(at)) is not None]
        if not ends:
            return
        at = min(ends) + MILLISECOND
        if at > until or (at == until and at != course.times.leaving):
            return
        yield at


def _moved(course: Course, known: Known, at: datetime, told: tuple[RuleName, str]) -> Line:
    way_in, schedule = schedule_at(course, known, at)
    after = figures_of(course, known, (way_in, schedule), at)
    rule, cause = told
    words = f"{cause}: {after.entered_min} min at {depth_text(way_in.depth, course.tables.unit)}"
    return Line(at, rule, after, after, words)


def _turned(lines: tuple[Line, ...], below: list[Line]) -> Iterator[Line]:
    """Yield the lines of the ascent, the first one joined to the last of the bottom."""
    for number, line in enumerate(lines):
        joins = number == 0 and below and line.before.plan == below[-1].after.plan
        yield (
            replace(line, before=replace(below[-1].after, bottom_min=line.before.bottom_min))
            if joins
            else line
        )


def _besides(course: Course, way: Way, live: Live, lines: list[Line]) -> Iterator[Line]:
    """Yield what changed no figure of the plan: gas, early arrival, stops left early or passed, rates."""
    unit = course.tables.unit
    found = [
        *_start(course, live),
        *_departure(course),
        *_gas(course),
        *_breaks(course, way),
        *_early(course, live),
        *_fast(course, unit),
    ]
    for at, rule, words in found:
        before = [line.after for line in lines if line.at <= at]
        same = before[-1] if before else lines[0].before
        yield Line(at, rule, same, same, words)


def _start(course: Course, live: Live) -> Iterator[tuple[datetime, RuleName, str]]:
    """Yield what holds from leaving the surface on: earlier dives, the altitude of the site."""
    left = course.times.left_surface
    if left is not None and live.residual.kind != "single":
        yield left, "earlier dives", live.residual.words
    if left is not None and live.site.applies:
        yield left, "altitude", live.site.words


def _departure(course: Course) -> Iterator[tuple[datetime, RuleName, str]]:
    """Yield that the ascent is reckoned from the depth of the dive, for want of a fresh reading."""
    left = course.times.left_bottom
    if left is not None and not has_fresh_reading(course.facts, left, course.choices):
        fresh = mmss(course.choices.departure_reading_max_age_s)
        here = depth_text(course.departure, course.tables.unit)
        yield (
            left,
            "departure depth",
            f"no depth read in the last {fresh}: the ascent is reckoned from {here}",
        )


def _breaks(course: Course, way: Way) -> Iterator[tuple[datetime, RuleName, str]]:
    clock = plan_of(course, way).clock
    for at, early_ms in clock.early_breaks if clock is not None else ():
        words = (
            f"taken off oxygen {mmss(seconds_up(early_ms))} before the air break was due: it is that break"
        )
        yield course.times.at(at), "break taken early", words


def _gas(course: Course) -> Iterator[tuple[datetime, RuleName, str]]:
    facts, left = course.facts, course.times.left_surface
    if facts.gas != "air" and left is not None:
        yield max(left, facts.gas_at or left), "gas chosen", f"going up on {GAS_WORDS[facts.gas]}"
    lost = facts.time_of("oxygen_lost")
    if lost is not None:
        yield lost, "oxygen lost", "back to air: what is left on oxygen is served on air"


def _early(course: Course, live: Live) -> Iterator[tuple[datetime, RuleName, str]]:
    unit = course.tables.unit
    first = next((line for line in live.stops if line.reached is not None), None)
    if first is not None and first.reached is not None and first.reached < first.due_arrive:
        where = depth_text(first.depth, unit)
        yield first.reached, "early arrival", f"early at {where}: the stop begins when it was due"
    for line in live.early:
        where, missing = depth_text(line.depth, unit), mmss(line.missing_s)
        passed = passed_ms(line.depth, course.progress)
        if line.left is not None:
            yield line.left, "stop left early", f"{where} left {missing} early: omitted decompression"
        elif passed is not None:
            yield course.times.at(passed), "stop passed", f"{where} passed: omitted decompression"


def _fast(course: Course, unit: str) -> Iterator[tuple[datetime, RuleName, str]]:
    for one in too_fast(course.tables, course.facts, course.times, course.departure):
        rule: RuleName = "ascent too fast" if one.way == "ascent" else "descent too fast"
        words = f"{one.rate:g} {unit}/min from {one.from_depth:g} to {one.to_depth:g}, limit {one.limit:g}"
        yield one.at, rule, words
