"""The ascent, planned or under way: when each stop begins and ends, and when the surface is due.

Times are whole milliseconds after leaving the bottom. A plan is an ascent of which nothing has been marked
yet, so the live figures and the plan come from the same lines below.

On air the first stop begins when the diver arrives, an early diver's once the required travel is over. Where
the tables count the travel between stops within the next stop (USN Rev 7, Table 9-9: no time is left for it
in the printed totals), a later stop begins where the one before it ended; after a delay too long to be let
pass, on arrival (station choice, see Choices). The last ascent is outside every stop.

On oxygen the first oxygen stop runs from the mark 'on oxygen', the travel to it outside the stop; from there
on the clock of `oxygen` says when each stop is served. When oxygen is lost, what is left is served on air.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from station.dive.choices import USUAL, Choices
from station.dive.delays import counted_minutes, delay_rules
from station.dive.oxygen import OxygenClock, OxygenPlan, Turn, oxygen_clock, oxygen_minutes
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
    """How far an ascent has come; without any mark and at 0 it is a plan.

    `seen` holds the depths at which the diver was known to be between stops. `turns` are the marks
    'on oxygen' and 'off oxygen'; `lost_ms` is when oxygen was lost.
    """

    now_ms: int = 0
    stops: Mapping[float, Taken] = field(default_factory=dict)
    surfaced_ms: int | None = None
    seen: tuple[tuple[int, float], ...] = ()
    turns: tuple[tuple[int, Turn], ...] = ()
    lost_ms: int | None = None


PLANNED = Progress()


@dataclass(frozen=True)
class StopTimes:
    """One stop of an ascent.

    `minutes` is 0 at a depth where a stop was marked that the schedule does not have. `passed` says that the
    diver is known to be shallower without having been marked here. `served_ms` is the time on oxygen at a
    stop that is served by it, else None.
    """

    depth: float
    minutes: int
    taken: Taken | None
    passed: bool
    due_arrive_ms: int
    start_ms: int
    due_leave_ms: int
    served_ms: int | None = None


@dataclass(frozen=True)
class Ascent:
    """An ascent from one depth: its stops and when the surface is due, or was reached.

    `clock` is the time on oxygen, None on air and before the first oxygen stop has its place in the plan.
    """

    departure: float
    stops: tuple[StopTimes, ...]
    due_surface_ms: int
    surface_ms: int
    clock: OxygenClock | None = None

    @property
    def to_first_stop_s(self) -> int:
        """Travel time to the first stop, or to the surface when there is none."""
        return seconds_up(self.stops[0].due_arrive_ms if self.stops else self.due_surface_ms)

    @property
    def total_s(self) -> int:
        """Total ascent time in seconds, rounded up."""
        return seconds_up(self.surface_ms)


@dataclass(frozen=True)
class _Leg:
    """How far the plan has come: where the stop before ends by it, and when the diver left it."""

    tables: Tables
    progress: Progress
    oxygen: OxygenPlan | None
    total_oxygen_min: int
    end_ms: int
    left_ms: int | None
    depth: float
    choices: Choices
    first: bool = True
    clock: OxygenClock | None = None
    oxygen_before_ms: int = 0


def ascend(  # noqa: PLR0913 - what an ascent depends on, each by its name
    tables: Tables,
    stops: Sequence[Stop],
    departure: float,
    progress: Progress = PLANNED,
    oxygen: OxygenPlan | None = None,
    *,
    choices: Choices = USUAL,
) -> Ascent:
    """Return the ascent through these stops, re-based on every mark taken so far.

    What is overdue at `progress.now_ms` pushes everything after it back; a stop left early, or passed, pulls
    nothing forward: the plan stands with the time that is missing, and its due times never move earlier.
    With `oxygen`, the stops that it covers are in minutes on oxygen.
    """
    total = oxygen_minutes(oxygen, stops) if oxygen else 0
    leg = _Leg(tables, progress, oxygen, total, 0, 0, departure, choices)
    times: list[StopTimes] = []
    for stop in _with_marked(never_deeper(stops, departure), progress.stops):
        if leg.oxygen is not None and leg.oxygen.covers(stop.depth):
            one, leg = _oxygen_stop(leg, leg.oxygen, stop)
        else:
            one = _air_stop(leg, stop)
        times.append(one)
        left = one.taken.left_ms if one.taken else None
        latest = _latest_ms(leg, stop.depth)
        leg = replace(
            leg,
            end_ms=max(one.due_leave_ms, latest if left is None else left),
            left_ms=left,
            depth=stop.depth,
            first=False,
        )
    due_surface = leg.end_ms + tables.file.ascent.travel_s(leg.depth, 0) * MS_PER_S
    surfaced = progress.surfaced_ms
    surface = max(due_surface, progress.now_ms) if surfaced is None else surfaced
    return Ascent(departure, tuple(times), due_surface, surface, leg.clock)


def _air_stop(leg: _Leg, stop: Stop, minutes: int | None = None, from_ms: int = 0) -> StopTimes:
    """Return a stop on air; one that ends a stop begun on oxygen has its own minutes and beginning."""
    taken = leg.progress.stops.get(stop.depth)
    travel_ms = leg.tables.file.ascent.travel_s(leg.depth, stop.depth) * MS_PER_S
    due_arrive = leg.end_ms + travel_ms
    arrive = taken.reached_ms if taken else _latest_ms(leg, stop.depth)
    start = max(due_arrive, arrive)
    if leg.tables.file.stops.travel_between == "within the next stop" and not leg.first:
        start = _later_start(leg, arrive, travel_ms)
    start = max(start, from_ms)
    owed = stop.minutes if minutes is None else minutes
    passed = taken is None and passed_ms(stop.depth, leg.progress) is not None
    due_leave = start + owed * MS_PER_MIN
    return StopTimes(stop.depth, owed, taken, passed, due_arrive, start, due_leave)


def _later_start(leg: _Leg, arrive_ms: int, travel_ms: int) -> int:
    """Return when a stop that the travel is inside of begins: at the end of the one before, or delayed."""
    since = leg.end_ms if leg.left_ms is None else leg.left_ms
    rules = delay_rules(leg.tables)
    if not counted_minutes(rules, arrive_ms - since - travel_ms):
        return leg.end_ms
    less = (
        0 if leg.choices.stop_after_delay == "from arrival" else travel_ms + rules.ignored_up_to_s * MS_PER_S
    )
    return max(leg.end_ms, arrive_ms - less)


def _oxygen_stop(leg: _Leg, oxygen: OxygenPlan, stop: Stop) -> tuple[StopTimes, _Leg]:
    """Return a stop on oxygen; what the loss of oxygen leaves of it is served on air."""
    clock = leg.clock or _clock(leg, oxygen, stop.depth)
    whole = stop.minutes * MS_PER_MIN
    before = leg.oxygen_before_ms
    served = min(whole, max(0, clock.served_ms - before))
    after = replace(leg, clock=clock, oxygen_before_ms=before + whole)
    lost = leg.progress.lost_ms
    if lost is not None and served < whole:
        taken = leg.progress.stops.get(stop.depth)
        here = served > 0 or (taken is not None and taken.reached_ms <= lost)
        minutes = oxygen.air_minutes(stop.depth, whole - served)
        return _air_stop(leg, stop, minutes, lost if here else 0), after
    base = _air_stop(leg, stop)
    start = clock.counted[0][0] if clock.counted else clock.resume_ms
    if before:
        start = leg.end_ms
    due_leave = max(start, clock.time_at(before + whole))
    return replace(base, start_ms=start, due_leave_ms=due_leave, served_ms=served), after


def _clock(leg: _Leg, oxygen: OxygenPlan, depth: float) -> OxygenClock:
    """Return the clock of time on oxygen, which stops with the last oxygen stop."""
    progress = leg.progress
    starts = leg.end_ms + leg.tables.file.ascent.travel_s(leg.depth, depth) * MS_PER_S
    ends = [progress.now_ms]
    ends += [one for one in (progress.surfaced_ms, progress.lost_ms) if one is not None]
    until = min(ends)
    turns = tuple(turn for turn in progress.turns if turn[0] <= until)
    early_ms = leg.choices.break_early_s * MS_PER_S
    return oxygen_clock(oxygen.rules, leg.total_oxygen_min, starts, turns, until, early_ms=early_ms)


def _latest_ms(leg: _Leg, depth: float) -> int:
    """Return the moment up to which a stop that was never marked may still have been served."""
    passed = None if depth in leg.progress.stops else passed_ms(depth, leg.progress)
    return leg.progress.now_ms if passed is None else passed


def passed_ms(depth: float, progress: Progress) -> int | None:
    """Return by when a stop that was never marked had been passed; None while the diver may be below it."""
    above = [taken.reached_ms for marked, taken in progress.stops.items() if marked < depth]
    above += [at for at, seen in progress.seen if seen < depth]
    return min(above, default=progress.surfaced_ms)


def left_at_ms(tables: Tables, depth: float, taken: Taken, surfaced_ms: int | None) -> int | None:
    """Return when a stop was left; without a mark, the latest moment from which the surface was reached."""
    if taken.left_ms is not None or surfaced_ms is None:
        return taken.left_ms
    return max(taken.reached_ms, surfaced_ms - tables.file.ascent.travel_s(depth, 0) * MS_PER_S)


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
