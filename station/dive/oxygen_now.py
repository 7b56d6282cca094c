"""Where a diver stands with oxygen: time on it, the break that runs or comes, the mark that is due."""

from dataclasses import dataclass
from datetime import datetime

from station.dive.ascent import Ascent
from station.dive.oxygen import State
from station.dive.times import MS_PER_MIN, seconds_down, seconds_up
from station.dive.way import Course, Way
from station.events import MarkName


@dataclass(frozen=True)
class OxygenNow:
    """Time on oxygen in the water at a moment.

    `served_s` is rounded down, `remaining_s` (oxygen still to be breathed) and `break_left_s` up. `break_at`
    is when the next air break is due; None when none is to come, and once oxygen is lost.
    """

    state: State
    lost: bool
    served_s: int
    remaining_s: int
    break_left_s: int
    break_at: datetime | None
    breaks_taken: int
    breaks_to_come: int


def oxygen_now(course: Course, way: Way, ascent: Ascent) -> OxygenNow | None:
    """Return the time on oxygen; None where no stop is served on it."""
    clock = ascent.clock
    if way.oxygen is None or clock is None:
        return None
    total_ms = MS_PER_MIN * sum(stop.minutes for stop in way.stops if way.oxygen.covers(stop.depth))
    lost = course.progress.lost_ms is not None
    ends, coming = clock.break_ends_ms, clock.next_break_ms
    running = clock.state == "air break" and ends is not None and not lost
    return OxygenNow(
        state=clock.state,
        lost=lost,
        served_s=seconds_down(min(total_ms, clock.served_ms)),
        remaining_s=0 if lost else seconds_up(max(0, total_ms - clock.served_ms)),
        break_left_s=seconds_up(max(0, (ends or 0) - course.progress.now_ms)) if running else 0,
        break_at=None if coming is None or lost else course.times.at(coming),
        breaks_taken=clock.breaks_taken,
        breaks_to_come=0 if lost else clock.planned_breaks - clock.breaks_taken,
    )


def next_turn(
    course: Course, ascent: Ascent, here: float, due_leave: datetime
) -> tuple[MarkName, datetime] | None:
    """Return the mark of the oxygen that comes before leaving this stop; None when none does.

    A break due at the moment the stop is to be left is taken at the next one (station choice).
    """
    clock = ascent.clock
    stop = next(one for one in ascent.stops if one.depth == here)
    if clock is None or stop.served_ms is None or course.progress.lost_ms is not None:
        return None
    if stop.served_ms >= stop.minutes * MS_PER_MIN:
        return None
    if clock.state in {"not yet", "off oxygen"}:
        return "on_oxygen", course.times.at(clock.resume_ms)
    if clock.state == "air break":
        return "on_oxygen", course.times.at(clock.break_ends_ms or clock.resume_ms)
    coming = clock.next_break_ms
    if coming is None or course.times.at(coming) >= due_leave:
        return None
    return "off_oxygen", course.times.at(coming)
