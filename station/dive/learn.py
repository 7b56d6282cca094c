"""What becomes known on the way up, taken in at its moment: depths, rows, divers in company, places."""

from dataclasses import replace

from station.dive.ascent import never_deeper
from station.dive.choice_words import joined
from station.dive.text import depth_text
from station.dive.way import (
    Course,
    Way,
    before_first,
    cap,
    change_rule,
    from_here,
    kept_words,
    noted,
)


def learn(course: Course, way: Way, until_ms: int, here: float | None) -> Way:
    """Take in what became known by a moment: a deeper depth, a longer row, where the diver is held.

    `here` is the stop the diver is at or on the way to; None before the first stop.
    """
    while way.learnt < len(course.later) and course.later[way.learnt][0] <= until_ms:
        at, known = course.later[way.learnt]
        if here is None:
            way = _merge_places(course, way, at)
        rule = change_rule(way.known, known)
        before = way = replace(way, known=known, learnt=way.learnt + 1)
        kept = ""
        if here is None:
            way = before_first(course, way, at)
        else:
            way = from_here(course, way, here, deeper_time=True)
            kept = kept_words(course, before, way, here)
        way = noted(course, way, at, rule, joined(known.cause, kept))
    return _merge_places(course, way, until_ms) if here is None else way


def _merge_places(course: Course, way: Way, until_ms: int) -> Way:
    """Bring stops that became owed below the diver to where the diver is known to be."""
    for place in course.places[way.placed :]:
        if place.at_ms > until_ms:
            break
        way = replace(way, placed=way.placed + 1)
        way = merged(course, way, place.at_ms, cap(course, way, place.at_ms))
    return way


def merged(course: Course, way: Way, at_ms: int, depth: float) -> Way:
    """Return the way with deeper stops served at a depth, in front of its own time."""
    stops = never_deeper(way.stops, depth)
    if stops == way.stops:
        return way
    words = f"deeper stops are served at {depth_text(depth, course.tables.unit)}, in front of its own time"
    return noted(course, replace(way, stops=stops), at_ms, "nobody goes down", words)
