"""How a dive enters the tables: altitude, earlier dives and divers in company brought to one depth and time.

The table depth is the sea-level equivalent of the depth of dive; to its bottom time comes the residual
nitrogen time of earlier dives. Divers in company follow the deeper table depth and the longer equivalent
time of all (station choice). A refused look-up is no schedule, with the words of the refusal.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from station.dive.altitude import Correction, correction
from station.dive.choices import Choices
from station.dive.facts import DiveFacts
from station.dive.known import Known
from station.dive.repetitive import residual
from station.dive.schedule import NoSchedule, Schedule, select
from station.dive.series import Residual
from station.dive.times import bottom_minutes
from station.dive.together import Own, common
from station.events import Gas
from station.tables.model import Tables


@dataclass(frozen=True)
class Running:
    """One diver's equivalent single dive time as it runs, until the bottom is left."""

    lane: int
    diver: str
    left: datetime
    added_min: int
    until: datetime | None
    depth: float
    lengthen: bool

    def minutes(self, at: datetime) -> int:
        """Return the equivalent single dive time at a moment, in whole minutes, rounded up."""
        end = at if self.until is None else min(at, self.until)
        return self.added_min + max(0, bottom_minutes(self.left, end))

    def ends(self, holds_min: int) -> datetime:
        """Return the last moment at which the time is not above so many minutes."""
        return self.left + timedelta(minutes=holds_min - self.added_min)


@dataclass(frozen=True)
class Entering:
    """What enters the tables for one depth of dive; `running` holds the diver first, then those in company.

    `refused` says why nothing may be looked up, None when it may.
    """

    tables: Tables
    site: Correction
    residual: Residual
    running: tuple[Running, ...]
    refused: str | None

    @property
    def depth(self) -> float:
        """The depth that enters the tables."""
        return max(one.depth for one in self.running)

    @property
    def lengthen(self) -> bool:
        """Whether the next longer row is taken."""
        return any(one.lengthen for one in self.running)

    def minutes(self, at: datetime) -> int:
        """Return the longest equivalent single dive time of all at a moment."""
        return max(one.minutes(at) for one in self.running)

    def lead(self, at: datetime) -> Running:
        """Return whose time is the longest."""
        return max(self.running, key=lambda one: one.minutes(at))

    def others_min(self, at: datetime) -> int:
        """Return the longest equivalent time of the divers in company, 0 when there is none."""
        return max((one.minutes(at) for one in self.running[1:]), default=0)

    def schedule(self, at: datetime, delay_min: int = 0) -> Schedule | NoSchedule:
        """Return the schedule at a moment, delays of the ascent added."""
        minutes = self.minutes(at) + delay_min
        if self.refused is not None:
            return NoSchedule(self.depth, minutes, self.refused, None)
        return select(self.tables, self.depth, minutes, lengthen=self.lengthen)

    def holds_until(self, at: datetime) -> datetime | None:
        """Return the last moment at which the schedule of `at` still holds; None when nothing ends it."""
        found = self.schedule(at)
        if isinstance(found, NoSchedule) or found.holds_to_min is None:
            return None
        ends = [one.ends(found.holds_to_min) for one in self.running if one.until is None]
        return min(ends, default=None)

    def company_words(self, at: datetime) -> str:
        """Return whose figures lead, as the lane says it; "" for a diver alone."""
        owns = [Own(one.lane, one.diver, one.depth, one.minutes(at), one.lengthen) for one in self.running]
        found = common(owns, self.tables.unit)
        return found.words_for(owns[0]) if found else ""


def entering(
    tables: Tables, facts: DiveFacts, known: Known, left_bottom: datetime | None, choices: Choices
) -> tuple[Entering, ...]:
    """Return what enters the tables: for the depth known first, then for lesser depths that held before.

    A deeper reading may bring a smaller residual time and a lighter schedule; the plan shown before is kept
    where it is the heavier one (station choice), so the lesser depths count after earlier dives.
    """
    lesser = known.shallower if facts.earlier or facts.arrival else ()
    return tuple(
        _entering(tables, facts, known, (depth, left_bottom), choices) for depth in (known.depth, *lesser)
    )


def heaviest(
    ways: Sequence[Entering], at: datetime, delay_min: int, gas: Gas
) -> tuple[Entering, Schedule | NoSchedule]:
    """Return the way in whose schedule owes most; the first one when it has none, or all are equal."""
    best, found = ways[0], ways[0].schedule(at, delay_min)
    for way in ways[1:]:
        other = way.schedule(at, delay_min)
        both = isinstance(found, Schedule) and isinstance(other, Schedule)
        if both and _owed(other, gas) > _owed(found, gas):
            best, found = way, other
    return best, found


def _owed(schedule: Schedule | NoSchedule, gas: Gas) -> int:
    return schedule.total_on(gas) if isinstance(schedule, Schedule) else 0


def _entering(
    tables: Tables,
    facts: DiveFacts,
    known: Known,
    own_depth: tuple[float, datetime | None],
    choices: Choices,
) -> Entering:
    depth, until = own_depth
    site, left, own = _one(tables, facts, (known.at, depth, known.lengthen, until), choices)
    running, refused = [own], left.words if left.minutes is None else None
    for other in known.others:
        what = (known.at, other.depth, other.lengthen, other.until)
        _, theirs, one = _one(tables, other.facts, what, choices)
        running.append(one)
        refused = refused or (f"{one.diver}: {theirs.words}" if theirs.minutes is None else None)
    return Entering(tables, site, left, tuple(running), refused)


def _one(
    tables: Tables,
    facts: DiveFacts,
    what: tuple[datetime, float, bool, datetime | None],
    choices: Choices,
) -> tuple[Correction, Residual, Running]:
    """Return one diver's own way into the tables; on deck the moment known stands for leaving the surface."""
    at, depth, lengthen, until = what
    left = facts.time_of("left_surface") or at
    site = correction(tables, facts.site_ft, depth)
    found = residual(
        tables,
        facts.earlier,
        left,
        site.table_depth,
        choices=choices,
        arrival=facts.arrival,
        by_sum=facts.by_sum,
        no_group_decided=facts.no_group_decided,
    )
    enters = found.enters(site.table_depth)
    return site, found, Running(facts.lane, facts.diver, left, found.minutes or 0, until, enters, lengthen)
