"""Dives one after the other: what is known of the earlier ones, and what they add to the next.

Every depth here is one that enters the tables: corrected, and at altitude the sea-level equivalent.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal

from pydantic import Field

from station.dive.times import MS_PER_MIN
from station.files import FileModel
from station.moments import clock_time, ms_between

ASK = "ask the supervisor and the medical officer"

Kind = Literal[
    "single",
    "one dive",
    "repetitive",
    "not repetitive",
    "sum of bottom times",
    "no figure",
    "blocked",
]


class SeriesChoices(FileModel):
    """Readings where the published rules on dives after dives are silent or were not at hand.

    no_group_blocked_h: for so long no dive is computed after one whose schedule prints no group.
    no_group_asks_h: from then until here it takes the supervisor's decision; later it no longer counts.
    """

    no_group_blocked_h: Annotated[int, Field(ge=12, le=240)] = 18
    no_group_asks_h: Annotated[int, Field(ge=12, le=240)] = 48


SERIES = SeriesChoices()


@dataclass(frozen=True)
class EarlierDive:
    """A dive that a diver made before, from a record or by hand; `source` says in words which.

    `depth` entered the tables. `added_min` is what was added to its own bottom time: residual nitrogen time,
    or the time of a dive that it was one with. `group` is the one of the schedule used; None is none printed.
    """

    surfaced: datetime
    group: str | None
    depth: float
    bottom_min: int
    source: str
    added_min: int = 0
    exceptional: bool = False

    @property
    def equivalent_min(self) -> int:
        """The equivalent single dive time it was decompressed for."""
        return self.bottom_min + self.added_min


@dataclass(frozen=True)
class Arrival:
    """A diver's arrival at altitude with the group of the arrival table: the time there is an interval."""

    at: datetime
    group: str
    altitude_ft: int
    source: str


@dataclass(frozen=True)
class Residual:
    """What earlier dives add to this one.

    `minutes` are added to the bottom time; None means that no dive can be computed, and `words` say what to
    do. `least_depth` is the depth below which the schedule may not be looked up, 0 when there is none.
    `until` is when a refusal ends of itself or by a decision; None when waiting does not end it.
    """

    kind: Kind
    minutes: int | None
    words: str
    least_depth: float = 0
    old_group: str | None = None
    interval_min: int | None = None
    new_group: str | None = None
    row_depth: int | None = None
    until: datetime | None = None
    may_decide: bool = False

    def enters(self, depth: float) -> float:
        """Return the depth that enters the schedules for a depth of dive."""
        return max(depth, self.least_depth)


def latest(earlier: Sequence[EarlierDive]) -> EarlierDive | None:
    """Return the dive surfaced from last: its group governs the next one."""
    return max(earlier, key=lambda dive: dive.surfaced, default=None)


def interval_minutes(surfaced: datetime, left_surface: datetime) -> int:
    """Return a surface interval in whole minutes, seconds dropped: the shorter side."""
    return ms_between(surfaced, left_surface) // MS_PER_MIN


def moment_text(at: datetime) -> str:
    """Return a day and a time of day: a wait may run past midnight."""
    return f"{at:%Y-%m-%d} {clock_time(at)}"
