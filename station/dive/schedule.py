"""Choosing a schedule: next deeper, next longer, and in words why; or that there is none.

USN Rev 4, pages 9-11 and 9-12; USN Rev 7, Tables 9-7, 2A-1 and 9-9. `minutes` is the equivalent single dive
time: bottom time plus residual nitrogen time.
"""

from dataclasses import dataclass, replace
from typing import Literal

from station.events import Gas
from station.tables.lookup import depth_with_rows, group_reached, listed_depth, row_index, within_no_stop
from station.tables.model import ExposureClass, NoStop, ScheduleRow, Tables


@dataclass(frozen=True)
class Stop:
    """A stop owed: its depth and its minutes."""

    depth: float
    minutes: int


@dataclass(frozen=True)
class Schedule:
    """The schedule for a depth and a time, as printed.

    `row_time` is the bottom time of the row, or the no-stop limit; None is unlimited. `holds_to_min` is the
    time up to which nothing changes. `to_first_stop_s` and `total_s` are for a departure from `table_depth`.
    `oxygen_stops` and `oxygen_total_s` are those on air and oxygen in the water, None where none are printed.
    `lengthened` tells whether the next longer row was taken, or asked for where there is none.
    """

    depth: float
    minutes: int
    unit: str
    table_depth: int
    row_time: int | None
    holds_to_min: int | None
    stops: tuple[Stop, ...]
    group: str | None
    exposure: ExposureClass
    source: str
    to_first_stop_s: int
    total_s: int
    by_limit: bool
    lengthened: Literal["no", "yes", "no longer row"] = "no"
    oxygen_stops: tuple[Stop, ...] | None = None
    oxygen_total_s: int | None = None
    chamber_periods: float | None = None

    @property
    def name(self) -> str:
        """The schedule as the trade writes it, depth/time: 120/55."""
        return f"{self.table_depth}/{self.row_time or 'unlimited'}"

    def stops_on(self, gas: Gas) -> tuple[Stop, ...]:
        """Return the stops in the water by what is breathed; on air where none are printed on oxygen."""
        oxygen = self.oxygen_stops if gas == "air_oxygen" else None
        return self.stops if oxygen is None else oxygen

    def total_on(self, gas: Gas) -> int:
        """Return the printed total ascent time in seconds that goes with `stops_on`."""
        oxygen = self.oxygen_total_s if gas == "air_oxygen" else None
        return self.total_s if oxygen is None else oxygen

    def exceptional_on(self, gas: Gas) -> bool:
        """Return whether the row is an exceptional exposure on a gas; as on air where none is printed."""
        printed = {"air_oxygen": self.oxygen_stops is not None, "surface_oxygen": bool(self.chamber_periods)}
        spared = gas in self.exposure.unless_on and printed.get(gas, False)
        return self.exposure.exceptional and not spared

    @property
    def no_stop(self) -> bool:
        """Whether the diver may be brought straight to the surface."""
        return not self.stops

    @property
    def why(self) -> str:
        """Which table and row, and how depth and time lead to it."""
        depth = f"{self.depth:g} {self.unit}"
        deeper = (
            f"{depth} is listed" if self.depth == self.table_depth else f"{depth} goes to {self.table_depth}"
        )
        return f"{deeper}; {self._time_words()} ({self.source}, {self.name})"

    def _time_words(self) -> str:
        if self.lengthened == "yes":
            return f"{self.minutes} min goes past its own row to {self.row_time}: cold or arduous dive"
        if self.row_time is None:
            words = f"{self.minutes} min: no limit there"
        elif self.by_limit:
            words = f"{self.minutes} min is within the no-stop limit of {self.row_time} min"
        elif self.minutes == self.row_time:
            words = f"{self.minutes} min is listed"
        else:
            words = f"{self.minutes} min goes to {self.row_time}"
        return words if self.lengthened == "no" else f"{words}; no longer row is printed"


@dataclass(frozen=True)
class NoSchedule:
    """The tables print no schedule: why, and the deeper row that lists the time, if one does.

    The fallback is for the supervisor's decision; it is never taken by itself.
    """

    depth: float
    minutes: int
    reason: str
    fallback: Schedule | None


@dataclass(frozen=True)
class Ahead:
    """What begins when the schedule in force no longer holds; `next` is None when it holds for good."""

    next: Schedule | NoSchedule | None
    exceptional_next: bool
    last_row: bool


def select(tables: Tables, depth: float, minutes: int, *, lengthen: bool = False) -> Schedule | NoSchedule:
    """Return the schedule for a corrected depth and an equivalent single dive time in whole minutes.

    `lengthen` takes the next longer row, for a cold or arduous dive; by the supervisor's decision only. Where
    no longer row is printed the row itself stands, and says so.
    """
    listed = listed_depth(tables, depth)
    if listed is None:
        deepest = f"{tables.depths[-1]} {tables.unit}"
        reason = f"{depth:g} {tables.unit} is deeper than the deepest listed depth, {deepest}"
        return NoSchedule(depth, minutes, reason, None)
    no_stop = within_no_stop(tables, listed, minutes)
    down = depth_with_rows(tables, listed)
    if no_stop is not None:
        found = _by_limit(tables, no_stop, depth, minutes)
        return _longer_than_limit(tables, found, down) if lengthen else found
    if down is None:
        return _none(tables, depth, minutes, listed)
    at = row_index(tables, down, minutes)
    if at == len(tables.rows[down]):
        return _none(tables, depth, minutes, down)
    found = _by_row(tables, tables.rows[down][at], depth, minutes)
    return _longer_row(tables, found, at) if lengthen else found


def ahead(tables: Tables, schedule: Schedule, gas: Gas) -> Ahead:
    """Return what begins one minute after the schedule holds, and whether on a gas that is a high alarm."""
    if schedule.holds_to_min is None:
        return Ahead(None, exceptional_next=False, last_row=False)
    after = select(tables, schedule.depth, schedule.holds_to_min + 1, lengthen=schedule.lengthened != "no")
    if isinstance(after, NoSchedule):
        return Ahead(after, exceptional_next=False, last_row=True)
    enters = after.exceptional_on(gas) and not schedule.exceptional_on(gas)
    return Ahead(after, exceptional_next=enters, last_row=False)


def _by_limit(tables: Tables, found: NoStop, depth: float, minutes: int) -> Schedule:
    row = found.row
    up_s = tables.file.ascent.travel_s(row.depth, 0)
    return Schedule(
        depth=depth,
        minutes=minutes,
        unit=tables.unit,
        table_depth=row.depth,
        row_time=row.limit,
        holds_to_min=row.limit,
        stops=(),
        group=group_reached(row, minutes),
        exposure=tables.file.exposures[0],
        source=found.source,
        to_first_stop_s=up_s,
        total_s=up_s,
        by_limit=True,
        oxygen_stops=(),
        oxygen_total_s=up_s,
    )


def _by_row(tables: Tables, row: ScheduleRow, depth: float, minutes: int) -> Schedule:
    oxygen = row.oxygen_stops
    return Schedule(
        depth=depth,
        minutes=minutes,
        unit=tables.unit,
        table_depth=row.depth,
        row_time=row.time,
        holds_to_min=row.time,
        stops=tuple(Stop(deep, time) for deep, time in row.air_stops),
        group=row.group,
        exposure=tables.exposures[row.exposure],
        source=tables.file.schedules.source,
        to_first_stop_s=row.to_first_stop,
        total_s=row.air_total,
        by_limit=False,
        oxygen_stops=None if oxygen is None else tuple(Stop(deep, time) for deep, time in oxygen),
        oxygen_total_s=row.oxygen_total,
        chamber_periods=row.chamber_periods,
    )


def _longer_row(tables: Tables, found: Schedule, at: int) -> Schedule:
    rows = tables.rows[found.table_depth]
    if at + 1 == len(rows):
        return replace(found, lengthened="no longer row")
    longer = _by_row(tables, rows[at + 1], found.depth, found.minutes)
    return replace(longer, holds_to_min=found.holds_to_min, lengthened="yes")


def _longer_than_limit(tables: Tables, found: Schedule, down: int | None) -> Schedule:
    """Return the first row with stops that is not shorter than the time; unlimited stays unlimited."""
    if found.row_time is not None and down is not None:
        for row in tables.rows[down][row_index(tables, down, found.minutes) :]:
            if row.air_stops:
                longer = _by_row(tables, row, found.depth, found.minutes)
                return replace(longer, holds_to_min=min(found.row_time, row.time), lengthened="yes")
    return replace(found, lengthened="no longer row")


def _none(tables: Tables, depth: float, minutes: int, down: int) -> NoSchedule:
    unit = tables.unit
    times = tables.times.get(down, ())
    longest = f"the longest there is {times[-1]} min" if times else "no schedules are printed so deep"
    reason = f"no schedule at {down} {unit} for {minutes} min: {longest}"
    for deeper in tables.row_depths:
        if deeper > down and tables.times[deeper][-1] >= minutes:
            row = tables.rows[deeper][row_index(tables, deeper, minutes)]
            return NoSchedule(depth, minutes, reason, _by_row(tables, row, depth, minutes))
    return NoSchedule(depth, minutes, reason, None)
