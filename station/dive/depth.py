"""Depths of a dive: corrected readings, the depth that enters the tables, the one the ascent starts from."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from station.dive.choices import Choices
from station.dive.facts import DiveFacts, Reading
from station.errors import LookUpError
from station.tables.lookup import NOISE_DIGITS
from station.tables.model import Tables

Origin = Literal["planned", "read", "declared"]


@dataclass(frozen=True)
class DepthOfDive:
    """The depth that enters the tables, and where it comes from."""

    depth: float
    origin: Origin


def corrected(tables: Tables, reading: float) -> float:
    """Return a pneumofathometer reading with the correction of its band added.

    The uncorrected reading chooses the band (U.S. Navy Diving Manual Rev 4, page 9-16: 100 reads 101); one
    between two bands takes the larger correction. Tables without corrections leave it as it is.

    Raises:
        LookUpError: the reading is deeper than the last band.

    """
    table = tables.file.pneumofathometer
    if table is None:
        return reading
    for band in table.rows:
        if reading <= band.reading_up_to:
            return reading + band.add
    raise LookUpError(
        f"no correction is printed for a reading of {reading:g} {tables.unit}; "
        f"the last is for {table.rows[-1].reading_up_to} {tables.unit}"
    )


def depth_of_dive(tables: Tables, facts: DiveFacts, choices: Choices) -> DepthOfDive:
    """Return the largest corrected reading since leaving the surface, or a deeper declared depth.

    Before the first reading the planned depth stands in; a first reading taken on the way up is no depth of
    the dive, so then the planned depth still holds as the least (station choice, see Choices).
    """
    since = _since_surface(facts)
    readings = [corrected(tables, one.reading) for one in since]
    candidates: list[tuple[float, Origin]] = [(max(readings), "read")] if readings else []
    left = facts.time_of("left_bottom")
    known = any(left is None or one.at <= left for one in since)
    if not known or choices.planned_depth_holds == "whole dive":
        candidates.append((facts.planned_depth, "planned"))
    if facts.declared_depth is not None:
        candidates.append((facts.declared_depth, "declared"))
    depth, origin = max(candidates, key=lambda one: one[0])
    return DepthOfDive(depth, origin)


def departure_depth(
    tables: Tables, facts: DiveFacts, leaving: datetime, dive: DepthOfDive, choices: Choices
) -> float:
    """Return the depth that the ascent starts from: the last corrected reading fresh enough at `leaving`.

    The stage depth gives the travel to the first stop, never the schedule (USN Rev 4/5, 9-3). Without a fresh
    reading it is the depth of the dive (station choice).
    """
    fresh = _fresh(facts, leaving, choices)
    return round(corrected(tables, fresh[-1].reading) if fresh else dive.depth, NOISE_DIGITS)


def has_fresh_reading(facts: DiveFacts, leaving: datetime, choices: Choices) -> bool:
    """Whether a reading is fresh enough at `leaving` for the ascent to be reckoned from it."""
    return bool(_fresh(facts, leaving, choices))


def _fresh(facts: DiveFacts, leaving: datetime, choices: Choices) -> list[Reading]:
    oldest = leaving - timedelta(seconds=choices.departure_reading_max_age_s)
    return [one for one in _since_surface(facts) if oldest <= one.at <= leaving]


def _since_surface(facts: DiveFacts) -> list[Reading]:
    left = facts.time_of("left_surface")
    return [] if left is None else [one for one in facts.readings if one.at >= left]
