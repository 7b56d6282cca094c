"""What is known of one dive: its plan, its marks, its depth readings and the supervisor's decisions."""

from dataclasses import dataclass
from datetime import datetime

from station.dive.series import Arrival, EarlierDive
from station.events import Gas, MarkName
from station.tables.lookup import NOISE_DIGITS


@dataclass(frozen=True)
class Mark:
    """A time of the dive; a mark of a stop or of a hold on the way up names its depth, no other mark has one.

    The depth is kept to a millionth: a stop in metres that was stored in feet is still that stop.
    """

    name: MarkName
    at: datetime
    depth: float | None = None

    def __post_init__(self) -> None:
        if self.depth is not None:
            object.__setattr__(self, "depth", round(self.depth, NOISE_DIGITS))


@dataclass(frozen=True)
class Reading:
    """A pneumofathometer reading as read, before its correction."""

    at: datetime
    reading: float


@dataclass(frozen=True)
class DiveFacts:
    """One dive of one diver, marks and readings in the order of their times.

    `declared_depth` is the deepest that the supervisor declared; `lengthened` says that the next longer
    schedule was taken for a cold or arduous dive. `gas` is what is breathed on the way up. `earlier` are the
    dives before this one, which `by_sum` and `no_group_decided` let count otherwise; `arrival` is that at the
    altitude of the site, `site_ft`. Readings are those of a gauge zeroed at the site. A decision without its
    moment counts from the surface on.
    """

    planned_depth: float
    planned_min: int
    marks: tuple[Mark, ...] = ()
    readings: tuple[Reading, ...] = ()
    declared_depth: float | None = None
    lengthened: bool = False
    gas: Gas = "air"
    declared_at: datetime | None = None
    lengthened_at: datetime | None = None
    gas_at: datetime | None = None
    lane: int = 0
    diver: str = "the diver"
    earlier: tuple[EarlierDive, ...] = ()
    by_sum: bool = False
    no_group_decided: bool = False
    arrival: Arrival | None = None
    site_ft: float = 0
    company: tuple["Company", ...] = ()

    def time_of(self, name: MarkName) -> datetime | None:
        """Return when a mark was taken; the first one of a stop's marks."""
        return next((mark.at for mark in self.marks if mark.name == name), None)

    def stop_time(self, name: MarkName, depth: float) -> datetime | None:
        """Return when a stop's mark was taken at that depth."""
        return next((mark.at for mark in self.marks if (mark.name, mark.depth) == (name, depth)), None)


@dataclass(frozen=True)
class Company:
    """From when to when a diver ascends together with others: the facts of each, without its company."""

    since: datetime
    until: datetime | None
    others: tuple[DiveFacts, ...]
