"""What the trail is made of: figures before and after, the rule between them; deviations."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from station.dive.delays import Column
from station.dive.schedule import NoSchedule, Schedule, Stop

Kind = Literal["before the first stop", "leaving a stop", "between stops", "to the surface"]
Effect = Literal["let pass", "bottom time", "first stop", "none", "recorded", "oxygen time"]
RuleName = Literal[
    "surface left",
    "next longer row",
    "depth of dive",
    "cold or arduous",
    "earlier dives",
    "altitude",
    "divers together",
    "departure depth",
    "gas chosen",
    "delay before the first stop",
    "delay leaving a stop",
    "delay between stops",
    "nobody goes down",
    "early arrival",
    "stop left early",
    "stop passed",
    "ascent too fast",
    "descent too fast",
    "late on oxygen",
    "break taken early",
    "oxygen lost",
]
SOURCES: dict[RuleName, str] = {
    "surface left": "USN Rev 4, pages 9-11 and 9-12: next deeper, next longer",
    "next longer row": "USN Rev 4, pages 9-11 and 9-12: next longer",
    "depth of dive": "USN Rev 4/5, 9-3: deepest corrected reading",
    "cold or arduous": "NOAA Diving Center, U.S. Navy tables, Part Three; supervisor's decision",
    "earlier dives": "USN Rev 7, Tables 9-8 and 2A-2",
    "altitude": "USN Rev 4, pages 9-38 to 9-44",
    "divers together": "station choice: the deeper depth and the longer time hold for all",
    "departure depth": "station choice: without a fresh reading, the depth of the dive",
    "gas chosen": "supervisor's decision",
    "delay before the first stop": "USN Rev 6, 9-11.3, second-hand",
    "delay leaving a stop": "USN Rev 6 and 7, from memory; helium-oxygen alike in Rev 4, page 14-8",
    "delay between stops": "USN Rev 6 and 7, from memory; helium-oxygen alike in Rev 4, page 14-8",
    "nobody goes down": "USN Rev 6, second-hand: missed deeper time is served at the present depth",
    "early arrival": "USN Rev 6, second-hand: the stop starts when the travel time has run out",
    "stop left early": "station choice: omitted decompression, the plan stands",
    "stop passed": "station choice: omitted decompression, the plan stands",
    "ascent too fast": "USN Rev 6 and 7, from memory: 20 to 40 fsw/min is accepted",
    "descent too fast": "USN Rev 4 to 7, from memory: no more than 75 ft/min",
    "late on oxygen": "USN Rev 4, page 14-8, helium-oxygen; air from memory",
    "break taken early": "station choice: taken off oxygen shortly before a break is due is that break",
    "oxygen lost": "USN Rev 6 and 7, from memory: by the ratio of the air stop to the oxygen stop",
}


@dataclass(frozen=True)
class Figures:
    """A plan at one moment: what entered the tables, and the schedule and stops that came of it.

    `others_min` is the longest equivalent single dive time of divers in company, 0 without any.
    """

    depth: float
    bottom_min: int
    residual_min: int
    delay_min: int
    schedule: str
    stops: tuple[Stop, ...]
    others_min: int = 0

    @property
    def entered_min(self) -> int:
        """The time that enters the tables: residual and bottom time, or that of others, + delays."""
        return max(self.residual_min + self.bottom_min, self.others_min) + self.delay_min

    @property
    def plan(self) -> tuple[str, tuple[Stop, ...]]:
        """Schedule and stops, by which two plans differ."""
        return self.schedule, self.stops


@dataclass(frozen=True)
class Line:
    """One application of a rule: when, which rule and where it stands, and the figures before and after."""

    at: datetime
    rule: RuleName
    before: Figures
    after: Figures
    words: str

    @property
    def source(self) -> str:
        """Where the rule stands."""
        return SOURCES[self.rule]


@dataclass(frozen=True)
class Deviation:
    """A delay on the way up: where, when it should have been over, how long it was and what it led to.

    `delay_ms` is exact; `minutes` is what it counts for, 0 when it is let pass. `running` says that no mark
    has ended it yet.
    """

    kind: Kind
    from_depth: float
    to_depth: float
    due: datetime
    delay_ms: int
    minutes: int
    column: Column | None
    effect: Effect
    running: bool


def schedule_name(schedule: Schedule | NoSchedule) -> str:
    """Return a schedule's name, or that there is none."""
    return schedule.name if isinstance(schedule, Schedule) else "no schedule"
