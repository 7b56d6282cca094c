"""The ascent on air, planned or under way: when each stop begins and ends, and when the surface is due.

Times are whole milliseconds after leaving the bottom. A plan is an ascent of which nothing has been marked
yet, so the live figures and the plan come from the same lines below.

The first stop runs from arrival, or from when the required travel time has run out if the diver is early.
Where the tables count the travel between stops within the next stop (USN Rev 7, Table 9-9: time to first
stop + stops + 0:40 is the printed total), each later stop runs from the end of the stop before. The last
ascent is outside every stop.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from station.dive.schedule import Stop
from station.dive.times import MS_PER_MIN, MS_PER_S, seconds_up
from station.tables.model import Tables


@dataclass(frozen=True)
class Taken:
    """When a stop was reached and left, as far as it was."""

    reached_ms: int
    left_ms: int | None = None


@dataclass(frozen=True)
class Progress:
    """How far an ascent has come; without any mark and at 0 it is a plan."""

    now_ms: int = 0
    stops: Mapping[float, Taken] = field(default_factory=dict)
    surfaced_ms: int | None = None


PLANNED = Progress()


@dataclass(frozen=True)
class StopTimes:
    """One stop of an ascent.

    `minutes` is 0 at a depth where a stop was marked that the schedule does not have. `passed` says that the
    diver is known to be shallower without having been marked here.
    """

    depth: float
    minutes: int
    taken: Taken | None
    passed: bool
    due_arrive_ms: int
    start_ms: int
    due_leave_ms: int


@dataclass(frozen=True)
class Ascent:
    """An ascent from one depth: its stops and when the surface is due, or was reached."""

    departure: float
    stops: tuple[StopTimes, ...]
    due_surface_ms: int
    surface_ms: int

    @property
    def to_first_stop_s(self) -> int:
        """Travel time to the first stop, or to the surface when there is none."""
        return seconds_up(self.stops[0].due_arrive_ms if self.stops else self.due_surface_ms)

    @property
    def total_s(self) -> int:
        """Total ascent time in seconds, rounded up."""
        return seconds_up(self.surface_ms)


def ascend(tables: Tables, stops: Sequence[Stop], departure: float, progress: Progress = PLANNED) -> Ascent:
    """Return the ascent through these stops, re-based on every mark taken so far.

    What is overdue at `progress.now_ms` pushes everything after it back; a stop left early, or passed, pulls
    nothing forward: the plan stands with the time that is missing, and its due times never move earlier.
    """
    rules = tables.file
    inside = rules.stops.travel_between == "within the next stop"
    end_ms, depth = 0, departure
    times: list[StopTimes] = []
    for stop in _with_marked(never_deeper(stops, departure), progress.stops):
        taken = progress.stops.get(stop.depth)
        passed_ms = None if taken else _passed_ms(stop.depth, progress)
        latest_ms = progress.now_ms if passed_ms is None else passed_ms
        due_arrive = end_ms + rules.ascent.travel_s(depth, stop.depth) * MS_PER_S
        arrive = taken.reached_ms if taken else latest_ms
        start = end_ms if inside and times else max(due_arrive, arrive)
        due_leave = start + stop.minutes * MS_PER_MIN
        times.append(
            StopTimes(stop.depth, stop.minutes, taken, passed_ms is not None, due_arrive, start, due_leave)
        )
        left = taken.left_ms if taken else None
        end_ms = max(due_leave, latest_ms if left is None else left)
        depth = stop.depth
    due_surface = end_ms + rules.ascent.travel_s(depth, 0) * MS_PER_S
    surface = max(due_surface, progress.now_ms) if progress.surfaced_ms is None else progress.surfaced_ms
    return Ascent(departure, tuple(times), due_surface, surface)


def _passed_ms(depth: float, progress: Progress) -> int | None:
    """Return by when a stop that was never marked had been passed; None while the diver may be below it."""
    above = [taken.reached_ms for marked, taken in progress.stops.items() if marked < depth]
    return min(above, default=progress.surfaced_ms)


def never_deeper(stops: Sequence[Stop], departure: float) -> tuple[Stop, ...]:
    """Return the stops with none below the departure depth: nobody goes down for one.

    The minutes of all deeper stops are served where the diver is, in front of that depth's own.
    """
    below = [stop for stop in stops if stop.depth > departure]
    if not below:
        return tuple(stops)
    here = sum(stop.minutes for stop in stops if stop.depth >= departure)
    return (Stop(departure, here), *(stop for stop in stops if stop.depth < departure))


def _with_marked(stops: Sequence[Stop], marked: Mapping[float, Taken]) -> list[Stop]:
    """Return the stops, deepest first, together with depths where a stop was marked without being owed."""
    known = {stop.depth for stop in stops}
    extra = [Stop(depth, 0) for depth in marked if depth not in known]
    return sorted([*stops, *extra], key=lambda stop: -stop.depth)
