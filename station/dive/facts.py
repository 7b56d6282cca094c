"""What is known of one dive: its plan, its marks, its depth readings and the supervisor's decisions."""

from dataclasses import dataclass
from datetime import datetime

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
    schedule was taken for a cold or arduous dive. `residual_min` is the residual nitrogen time, added to
    every look-up; `gas` is what is breathed on the way up. A decision without its moment counts from the
    surface on.
    """

    planned_depth: float
    planned_min: int
    marks: tuple[Mark, ...] = ()
    readings: tuple[Reading, ...] = ()
    declared_depth: float | None = None
    lengthened: bool = False
    residual_min: int = 0
    gas: Gas = "air"
    declared_at: datetime | None = None
    lengthened_at: datetime | None = None
    gas_at: datetime | None = None

    def time_of(self, name: MarkName) -> datetime | None:
        """Return when a mark was taken; the first one of a stop's marks."""
        return next((mark.at for mark in self.marks if mark.name == name), None)

    def stop_time(self, name: MarkName, depth: float) -> datetime | None:
        """Return when a stop's mark was taken at that depth."""
        return next((mark.at for mark in self.marks if (mark.name, mark.depth) == (name, depth)), None)
