"""The ladder of leaving times of a dive as it stands, with its own way into the tables and its own way up."""

from datetime import datetime

from station.dive.ascent import Ascent, ascend, never_deeper
from station.dive.choices import Choices
from station.dive.facts import DiveFacts
from station.dive.ladder import Air, Ladder, ladder
from station.dive.plan_now import plan_now
from station.dive.schedule import NoSchedule, Schedule
from station.dive.way import Course, Way, stops_of
from station.tables.model import Tables


def ladder_now(
    tables: Tables, facts: DiveFacts, now: datetime, choices: Choices, air: Air | None = None
) -> Ladder | None:
    """Return the ladder until the bottom is left, None after that; on deck as if the surface were left now.

    Divers in company climb by the longest time of all. Where the heavier plan of a lesser depth is kept, the
    rungs are those of that depth.
    """
    course, way = plan_now(tables, facts, now, choices)
    return None if course.times.on_the_way_up else ladder_of(course, way, now, air)


def ladder_of(course: Course, way: Way, now: datetime, air: Air | None = None) -> Ladder:
    """Return the ladder of a plan as it stands before the bottom is left."""
    way_in = way.entering
    if way_in.refused is not None:
        return Ladder((), NoSchedule(way_in.depth, 0, way_in.refused, None))
    lead = way_in.lead(now)
    return ladder(
        course.tables,
        way_in.depth,
        lead.left,
        max(now, lead.left),
        lambda schedule: _climb(course, way, schedule),
        added_min=lead.added_min,
        lengthen=way_in.lengthen,
        gas=course.facts.gas,
        air=air,
    )


def _climb(course: Course, way: Way, schedule: Schedule) -> Ascent:
    stops, oxygen = stops_of(course, way.entering, schedule)
    return ascend(course.tables, never_deeper(stops, course.departure), course.departure, oxygen=oxygen)
