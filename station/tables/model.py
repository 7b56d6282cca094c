"""The form of a table file, and a checked one laid out for look-ups."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from station.events import Gas
from station.files import FileModel
from station.tables.fields import (
    CheckName,
    ClassName,
    Depth,
    Group,
    HalfPeriods,
    HourMin,
    Limit,
    Longest,
    MinSec,
    Minutes,
    Rate,
    ResidualTime,
    Stop,
    Words,
)


class ExposureClass(FileModel):
    """A class of exposure that schedules are printed under.

    `unless_on` are the gases on which the rows of an exceptional class are none; never air.
    """

    name: ClassName
    exceptional: bool
    words: Words
    unless_on: tuple[Gas, ...] = ()


class KnownException(FileModel):
    """One printed row that fails one named check, and why it stands all the same."""

    check: CheckName
    depth: Depth
    time: Minutes
    off_by_s: int | None = None
    note: Words


class AscentRules(FileModel):
    """How fast a diver is brought up, in the file's depth unit per minute."""

    source: Words
    rate: Rate
    too_fast_above: Rate | None = None
    too_fast_source: Words | None = None

    def travel_s(self, deep: float, shallow: float) -> int:
        """Return the seconds from one depth up to another, rounded up; 0 when it is not up.

        The product is first brought to a millionth of a second, so that the noise of a unit conversion
        never adds a second of its own.
        """
        return max(0, math.ceil(round((deep - shallow) * 60 / self.rate, 6)))


class DescentRules(FileModel):
    """How fast a diver may be let down."""

    source: Words
    rate_max: Rate


class StopRules(FileModel):
    """Where stops lie, and where the travel between two of them is counted."""

    source: Words
    last: Depth
    spacing: Depth
    travel_between: Literal["within the next stop", "before the next stop"]


class DelayRules(FileModel):
    """Delays on the way up: how long one is let pass, and from which depth on it counts as bottom time."""

    source: Words
    ignored_up_to_s: Annotated[int, Field(ge=0, le=3600)]
    deeper_from: Annotated[float, Field(gt=0, le=1000)]


class OxygenRules(FileModel):
    """At which stops oxygen is breathed in the water, and the air breaks that interrupt it."""

    source: Words
    depths: Annotated[tuple[Depth, ...], Field(min_length=1)]
    period_min: Minutes
    break_min: Minutes
    last_period_max_min: Minutes

    def breaks(self, total_min: int) -> int:
        """Return how many air breaks a total time on oxygen holds: none before a last one that may run on."""
        return max(0, math.ceil((total_min - self.last_period_max_min) / self.period_min))


class GaugeBand(FileModel):
    """What is added to readings up to one figure."""

    reading_up_to: Depth
    add: Annotated[int, Field(ge=0, le=100)]


class GaugeCorrections(FileModel):
    """Corrections of the pneumofathometer, by the uncorrected reading."""

    source: Words
    rows: Annotated[tuple[GaugeBand, ...], Field(min_length=1)]


class NoStopRow(FileModel):
    """The no-stop limit at one depth and the longest time of each group."""

    depth: Depth
    limit: Limit
    longest: dict[Group, Longest] = Field(default_factory=dict)


class NoStopTable(FileModel):
    """One printed table of no-stop limits."""

    source: Words
    rows: Annotated[tuple[NoStopRow, ...], Field(min_length=1)]


class ScheduleRow(FileModel):
    """One printed schedule: a depth, a bottom time and what is owed for them."""

    depth: Depth
    time: Minutes
    to_first_stop: MinSec
    air_stops: tuple[Stop, ...]
    air_total: MinSec
    oxygen_stops: tuple[Stop, ...] | None = None
    oxygen_total: MinSec | None = None
    chamber_periods: HalfPeriods | None = None
    group: Group | None = None
    exposure: ClassName


class ScheduleTable(FileModel):
    """The printed table of schedules."""

    source: Words
    rows: Annotated[tuple[ScheduleRow, ...], Field(min_length=1)]


class IntervalRow(FileModel):
    """The surface intervals that lead from one group to another, both ends included."""

    group: Group
    after: Group
    at_least: HourMin
    at_most: HourMin


class IntervalTable(FileModel):
    """The printed table of surface intervals."""

    source: Words
    shortest: HourMin
    rows: Annotated[tuple[IntervalRow, ...], Field(min_length=1)]


class ResidualRow(FileModel):
    """Residual nitrogen times at one depth, by group."""

    depth: Depth
    times: dict[Group, ResidualTime]


class ResidualTable(FileModel):
    """One printed table of residual nitrogen times."""

    source: Words
    read_down_to: Depth | None = None
    rows: Annotated[tuple[ResidualRow, ...], Field(min_length=1)]


class WaitRow(FileModel):
    """Waits of one group, one for each rise in altitude."""

    group: Group
    waits: tuple[HourMin, ...]


class WaitTable(FileModel):
    """The printed table of waits before an ascent to altitude."""

    source: Words
    rises_ft: Annotated[tuple[Minutes, ...], Field(min_length=1)]
    rows: Annotated[tuple[WaitRow, ...], Field(min_length=1)]


class ArrivalRow(FileModel):
    """The group of a diver who arrives at one altitude."""

    altitude_ft: Minutes
    group: Group


class ArrivalTable(FileModel):
    """The printed table of groups on arrival at altitude."""

    source: Words
    rows: Annotated[tuple[ArrivalRow, ...], Field(min_length=1)]


class TableFile(FileModel):
    """A table file as declared; what an authority does not print is left out."""

    format: Literal["tables/1"]
    title: Words
    authority: Words
    edition: Words
    source: Words
    for_diving: bool
    depth_unit: Literal["fsw", "msw"]
    groups: tuple[Group, ...] = ()
    exposures: Annotated[tuple[ExposureClass, ...], Field(min_length=1)]
    known_exceptions: tuple[KnownException, ...] = ()
    ascent: AscentRules
    descent: DescentRules | None = None
    stops: StopRules
    delays: DelayRules | None = None
    oxygen: OxygenRules | None = None
    pneumofathometer: GaugeCorrections | None = None
    no_stop: Annotated[tuple[NoStopTable, ...], Field(min_length=1)]
    schedules: ScheduleTable
    surface_interval: IntervalTable | None = None
    residual: tuple[ResidualTable, ...] = ()
    altitude_wait: WaitTable | None = None
    altitude_arrival: ArrivalTable | None = None


@dataclass(frozen=True)
class CheckMade:
    """One check that a table file passed: what was compared, how often, and how often excepted by name."""

    name: str
    words: str
    count: int
    excepted: int


@dataclass(frozen=True)
class NoStop:
    """A no-stop row and the printed table it stands in."""

    row: NoStopRow
    source: str


@dataclass(frozen=True)
class Tables:
    """A table file that passed its checks, laid out for look-ups.

    `depths` are all listed depths; `row_depths` those with schedules; `times[depth]` and `rows[depth]`
    run in step, shortest bottom time first.
    """

    name: str
    sha256: str
    file: TableFile
    checks: tuple[CheckMade, ...]
    depths: tuple[int, ...]
    no_stop: Mapping[int, NoStop]
    row_depths: tuple[int, ...]
    rows: Mapping[int, tuple[ScheduleRow, ...]]
    times: Mapping[int, tuple[int, ...]]
    exposures: Mapping[str, ExposureClass]

    @property
    def unit(self) -> str:
        """The unit of every depth in these tables: fsw or msw."""
        return self.file.depth_unit
