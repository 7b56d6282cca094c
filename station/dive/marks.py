"""The marks of a dive put in their places: what opens and closes its parts, how far an ascent has come."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from station.dive.ascent import PLANNED, Progress, Taken
from station.dive.delays import Place
from station.dive.facts import DiveFacts
from station.dive.oxygen import Turn
from station.dive.times import bottom_minutes
from station.events import MarkName
from station.moments import MILLISECOND, ms_between

PLACE_MARKS: tuple[MarkName, ...] = ("held", "moving")
_TURNS: dict[MarkName, Turn] = {"on_oxygen": "on", "off_oxygen": "off"}


@dataclass(frozen=True)
class Times:
    """The marks that open and close the parts of a dive, and the moments that stand in for missing ones."""

    now: datetime
    left_surface: datetime | None
    reached_bottom: datetime | None
    left_bottom: datetime | None
    reached_surface: datetime | None
    leaving: datetime

    @property
    def bottom_min(self) -> int:
        """Bottom time in whole minutes, rounded up; 0 on deck."""
        return 0 if self.left_surface is None else bottom_minutes(self.left_surface, self.leaving)

    @property
    def on_the_way_up(self) -> bool:
        """Whether the bottom was left, or the surface reached without that mark."""
        return self.left_bottom is not None or self.reached_surface is not None

    def ms(self, moment: datetime) -> int:
        """Return milliseconds after leaving the bottom."""
        return ms_between(self.leaving, moment)

    def at(self, milliseconds: int) -> datetime:
        """Return the moment so many milliseconds after leaving the bottom."""
        return self.leaving + milliseconds * MILLISECOND


def times_of(facts: DiveFacts, now: datetime) -> Times:
    """Return the times of a dive; a moment before the last mark counts as that mark's."""
    if facts.marks:
        now = max(now, facts.marks[-1].at)
    left_surface = facts.time_of("left_surface")
    left_bottom, surfaced = facts.time_of("left_bottom"), facts.time_of("reached_surface")
    leaving = left_bottom or surfaced or now
    if left_surface is None:
        leaving = now + timedelta(minutes=facts.planned_min)
    return Times(now, left_surface, facts.time_of("reached_bottom"), left_bottom, surfaced, leaving)


def progress_of(facts: DiveFacts, times: Times) -> Progress:
    """Return how far the ascent has come; a plan while the bottom has not been left."""
    if not times.on_the_way_up:
        return PLANNED
    stops = {}
    for mark in facts.marks:
        if mark.name == "reached_stop" and mark.depth is not None:
            left = facts.stop_time("left_stop", mark.depth)
            stops[mark.depth] = Taken(times.ms(mark.at), None if left is None else times.ms(left))
    up, lost = times.reached_surface, facts.time_of("oxygen_lost")
    return Progress(
        now_ms=times.ms(up or times.now),
        stops=stops,
        surfaced_ms=None if up is None else times.ms(up),
        seen=tuple((place.at_ms, place.depth) for place in places_of(facts, times)),
        turns=tuple((times.ms(mark.at), _TURNS[mark.name]) for mark in facts.marks if mark.name in _TURNS),
        lost_ms=None if lost is None else times.ms(lost),
    )


def places_of(facts: DiveFacts, times: Times) -> tuple[Place, ...]:
    """Return where the diver was marked as held, or as moving on, in the order of time."""
    return tuple(
        Place(times.ms(mark.at), mark.depth, mark.name == "held")
        for mark in facts.marks
        if mark.name in PLACE_MARKS and mark.depth is not None
    )
