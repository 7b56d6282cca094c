"""Surface decompression on oxygen: what is left in the water, the interval, what is breathed in the chamber.

USN Rev 6, second-hand: study notes that restate it; what they leave open is said beside each rule. Depths are
in fsw: no table in metres prints chamber periods. The console keeps the times; what is done beyond the plan
is for the supervisor and the medical officer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Literal

from station.dive.schedule import Stop
from station.dive.times import MS_PER_S

LEAVES_WATER_AT_FSW = 40
"""The interval begins when 40 fsw is left, or passed where the schedule has no stop there (from memory)."""

TO_SURFACE_RATE = 40
CHAMBER_UP_RATE = 30
"""fsw/min: from 40 fsw to the surface; from the chamber up."""

FIRST_DEPTH, MIDDLE_DEPTH, LAST_DEPTH = 50, 40, 30
PERIOD_MIN, BREAK_MIN = 30, 5
HALF_MIN = PERIOD_MIN // 2
PERIODS_TO_MIDDLE = 4
"""Periods 2 to 4 at 40 fsw, later ones at 30."""

INTERVAL_LIMIT_S = 300
INTERVAL_LAST_S = 420
TABLE_5_PERIODS = 2
IN_WATER_FACTOR = Fraction(11, 10)
LOST_ON_AIR = 3
LOST_SHARES = ((40, 10), (30, 20), (20, 70))

PenaltyKind = Literal["none", "half a period", "treatment table 5", "treatment table 6"]


@dataclass(frozen=True)
class ChamberPart:
    """Minutes on oxygen at one depth of the chamber."""

    depth: int
    minutes: int


@dataclass(frozen=True)
class Penalty:
    """What the interval leads to; `at_first_min` is the oxygen at 50 fsw, None where the plan is given up.

    `words` name the published step; the supervisor and the medical officer decide.
    """

    kind: PenaltyKind
    at_first_min: int | None
    words: str


def water_stops(stops: Sequence[Stop]) -> tuple[Stop, ...]:
    """Return the stops on air that are served in the water before the chamber: those at 40 fsw and deeper."""
    return tuple(stop for stop in stops if stop.depth >= LEAVES_WATER_AT_FSW)


def chamber_parts(periods: float, at_first_min: int = HALF_MIN) -> tuple[ChamberPart, ...]:
    """Return the oxygen of so many periods of 30 min, depth by depth; `periods` come in halves.

    Period 1 is 15 min at 50 and 15 min at 40 fsw; `at_first_min` 30 adds half a period at 50 fsw.
    """
    halves = round(periods * 2)
    if halves <= 0:
        return ()
    middle = min(halves, PERIODS_TO_MIDDLE * 2) - 1
    last = max(0, halves - PERIODS_TO_MIDDLE * 2)
    parts = (
        ChamberPart(FIRST_DEPTH, at_first_min),
        ChamberPart(MIDDLE_DEPTH, middle * HALF_MIN),
        ChamberPart(LAST_DEPTH, last * HALF_MIN),
    )
    return tuple(part for part in parts if part.minutes)


def penalty(interval_ms: int, periods: float) -> Penalty:
    """Return what an interval without symptoms leads to; exactly 5:00 and exactly 7:00 are within.

    `interval_ms` runs from leaving 40 fsw in the water to reaching 50 fsw in the chamber; `periods` are those
    of the schedule.
    """
    if interval_ms <= INTERVAL_LIMIT_S * MS_PER_S:
        return Penalty("none", HALF_MIN, "interval within 5:00 (second-hand: notes on Rev 6)")
    if interval_ms <= INTERVAL_LAST_S * MS_PER_S:
        words = "interval over 5:00: 30 min on oxygen at 50 fsw, not 15 (second-hand: notes on Rev 6)"
        return Penalty("half a period", PERIOD_MIN, words)
    kind: PenaltyKind = "treatment table 5" if periods <= TABLE_5_PERIODS else "treatment table 6"
    words = (
        f"interval over 7:00: published step without symptoms is {kind}, the schedule needing {periods:g} "
        f"periods (second-hand: notes on Rev 6); the supervisor and the medical officer decide"
    )
    return Penalty(kind, None, words)


def periods_from_oxygen(left_s: int) -> float:
    """Return the chamber periods in place of oxygen left in the water: x 1.1 / 30, up to the next half."""
    return _halves(Fraction(left_s))


def periods_from_air(left_s: int, air_min: int, oxygen_min: int, later_oxygen_s: int = 0) -> float:
    """Return the chamber periods in place of what is left of a stop on air in the water.

    The air left is first divided by the ratio of the row's stop on air to its stop on oxygen; the oxygen of
    later stops, `later_oxygen_s`, is added as printed.
    """
    return _halves(Fraction(left_s * oxygen_min, air_min) + later_oxygen_s)


def air_for_lost_oxygen(left_min: int) -> tuple[Stop, ...]:
    """Return the chamber stops on air in place of oxygen lost for good, as USN Rev 4, page 9-25, has them.

    That revision's figures, to be shown as such: three times what was left, 10 per cent of it at 40 fsw, 20
    at 30 and 70 at 20, each rounded up. What Revision 7 has was not at hand.
    """
    total = left_min * LOST_ON_AIR
    return tuple(Stop(depth, ceil(Fraction(total * share, 100))) for depth, share in LOST_SHARES)


def _halves(oxygen_s: Fraction) -> float:
    return ceil(oxygen_s * IN_WATER_FACTOR / (HALF_MIN * 60)) / 2
