"""The exception for repetitive dives: the table's answer and the sum of bottom times, side by side.

Second-hand (study notes on USN Rev 6): after the normal answer, the sum of the bottom times at the deepest
depth may be tried, and whichever gives the longer no-stop time or the shorter decompression may be used. It
is the supervisor's to choose; nothing here chooses.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from station.dive.repetitive import residual
from station.dive.schedule import NoSchedule, Schedule, select
from station.dive.series import SERIES, Arrival, EarlierDive, Residual, SeriesChoices
from station.tables.model import Tables
from station.tables.written import mmss


@dataclass(frozen=True)
class Answer:
    """One way to reckon the dive: what is added, the equivalent single dive time, the schedule for it."""

    residual: Residual
    depth: float
    equivalent_min: int
    schedule: Schedule | NoSchedule

    @property
    def words(self) -> str:
        """The answer in one line."""
        schedule = self.schedule
        if isinstance(schedule, NoSchedule):
            return f"{self.equivalent_min} min: {schedule.reason}"
        ends = "no stop" if schedule.no_stop else f"total ascent {mmss(schedule.total_s)}"
        return f"{self.equivalent_min} min at {self.depth:g} {schedule.unit}: {schedule.name}, {ends}"


@dataclass(frozen=True)
class SideBySide:
    """Both answers; `lighter` is the one that owes less, by the schedule first, then by no-stop time left."""

    by_table: Answer
    by_sum: Answer
    lighter: Literal["table", "sum", "same"]

    @property
    def words(self) -> str:
        """Both answers in words, for the supervisor to choose."""
        return (
            f"by the table {self.by_table.words}; by the sum of bottom times {self.by_sum.words}; "
            "for the supervisor to choose (second-hand: notes on Rev 6)"
        )


def side_by_side(  # noqa: PLR0913 - what a repetitive dive depends on, each by its name
    tables: Tables,
    earlier: Sequence[EarlierDive],
    left_surface: datetime,
    depth: float,
    bottom_min: int,
    *,
    choices: SeriesChoices = SERIES,
    arrival: Arrival | None = None,
    no_group_decided: bool = False,
    lengthen: bool = False,
) -> SideBySide | None:
    """Return both answers for a repetitive dive; None where the exception has no place.

    It has none without a normal answer, and none where a group on arrival at altitude governs. An earlier
    dive that was repetitive itself goes into the sum with its own residual time (station choice).
    """

    def answer(*, by_sum: bool) -> Answer:
        left = residual(
            tables,
            earlier,
            left_surface,
            depth,
            choices=choices,
            arrival=arrival,
            by_sum=by_sum,
            no_group_decided=no_group_decided,
        )
        minutes, enters = (left.minutes or 0) + bottom_min, left.enters(depth)
        return Answer(left, enters, minutes, select(tables, enters, minutes, lengthen=lengthen))

    by_table, by_sum = answer(by_sum=False), answer(by_sum=True)
    if by_table.residual.kind != "repetitive" or by_sum.residual.kind != "sum of bottom times":
        return None
    table, total = _owed(by_table.schedule), _owed(by_sum.schedule)
    return SideBySide(by_table, by_sum, "same" if table == total else "sum" if total < table else "table")


def _owed(schedule: Schedule | NoSchedule) -> tuple[float, float]:
    """Return what a schedule owes, comparable: ascent with stops in seconds, then less no-stop time left."""
    if isinstance(schedule, NoSchedule):
        return float("inf"), 0
    if schedule.stops:
        return schedule.total_s, 0
    left = float("inf") if schedule.row_time is None else schedule.row_time - schedule.minutes
    return 0, -left
