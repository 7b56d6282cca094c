"""Thresholds of regulations that a dive is held against, each with its paragraph. Depths are in fsw.

A limit itself is allowed unless its function says otherwise. Where a paragraph was not at hand, its
source says from memory.
"""

import math
from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from typing import Literal

from station.tables.lookup import NOISE_DIGITS

Rule = Literal["29 CFR", "46 CFR"]

CHAMBER_29CFR_FSW = 100
SECOND_SUPPLY_46CFR_FSW = 130
AIR_FSW = 190
AIR_SHORT_FSW = 220
AIR_SHORT_MIN = 30
NEAR_CHAMBER_H = 1
GAUGE_PER_CENT = 2
TIMEKEEPER_S, TIMEKEEPER_H = 15, 4


@dataclass(frozen=True)
class Requirement:
    """What a rule asks for, where it stands, and in words why it bites here."""

    rule: Rule
    source: str
    words: str


def chamber_needed(depth_fsw: float, *, outside_no_stop: bool) -> Requirement | None:
    """Return why a chamber must be at the dive location by 29 CFR; None when it need not."""
    if depth_fsw > CHAMBER_29CFR_FSW:
        return Requirement("29 CFR", "29 CFR 1910.423(c)(1)(i)", f"deeper than {CHAMBER_29CFR_FSW} fsw")
    if outside_no_stop:
        return Requirement("29 CFR", "29 CFR 1910.423(c)(1)(iii)", "outside the no-stop limits")
    return None


def second_supply_needed(depth_fsw: float, *, outside_no_stop: bool) -> Requirement | None:
    """Return why 46 CFR asks for a secondary supply, chamber, stage, own tender and standby; None if not."""
    if depth_fsw > SECOND_SUPPLY_46CFR_FSW:
        words = f"deeper than {SECOND_SUPPLY_46CFR_FSW} fsw"
    elif outside_no_stop:
        words = "outside the no-stop limits"
    else:
        return None
    return Requirement("46 CFR", "46 CFR 197.432(e)", words)


def air_allowed(depth_fsw: float, bottom_min: int) -> bool:
    """Return whether air may be dived: to 190 fsw, to 220 fsw for 30 min or less.

    46 CFR 197.432(a); from memory: 29 CFR 1910.425(b) has the same.
    """
    return depth_fsw <= AIR_FSW or (depth_fsw <= AIR_SHORT_FSW and bottom_min <= AIR_SHORT_MIN)


def stay_near_chamber(depth_fsw: float, *, outside_no_stop: bool) -> tuple[Requirement, ...]:
    """Return by which rules the diver stays awake and near the chamber for an hour after the dive.

    29 CFR: deeper than 100 fsw. 46 CFR: 130 fsw itself counts (the safer reading of 'from').
    """
    found = []
    if depth_fsw > CHAMBER_29CFR_FSW or outside_no_stop:
        found.append(
            _near("29 CFR", "29 CFR 1910.423(b)(2)", f"deeper than {CHAMBER_29CFR_FSW} fsw", outside_no_stop)
        )
    if depth_fsw >= SECOND_SUPPLY_46CFR_FSW or outside_no_stop:
        found.append(
            _near("46 CFR", "46 CFR 197.410(a)(8)", f"from {SECOND_SUPPLY_46CFR_FSW} fsw on", outside_no_stop)
        )
    return tuple(found)


def _near(rule: Rule, source: str, deep: str, outside: bool) -> Requirement:  # noqa: FBT001 - one caller
    why = "outside the no-stop limits" if outside else deep
    return Requirement(rule, source, f"awake and near the chamber for at least {NEAR_CHAMBER_H} h: {why}")


def gauge_threshold_fsw(full_scale_fsw: float) -> float:
    """Return how far two equivalent depth gauges may differ: 2 per cent of full scale.

    29 CFR 1910.430(g)(2); 46 CFR 197.458(b).
    """
    return round(full_scale_fsw * GAUGE_PER_CENT / 100, NOISE_DIGITS)


def gauge_test_required(full_scale_fsw: float, reading_a_fsw: float, reading_b_fsw: float) -> bool:
    """Return whether two equivalent depth gauges differ so much that they must be tested."""
    apart = round(abs(reading_a_fsw - reading_b_fsw), NOISE_DIGITS)
    return apart > gauge_threshold_fsw(full_scale_fsw)


def timekeeper_test_required(hours: float, difference_s: float) -> bool:
    """Return whether a timekeeper runs off by more than 15 s in 4 h (46 CFR 197.458(c)).

    A comparison shorter or longer than 4 h is held against the same rate (station choice).
    """
    return abs(difference_s) * TIMEKEEPER_H > TIMEKEEPER_S * hours


@dataclass(frozen=True)
class Interval:
    """How often something is tested: at least every so many months, by which rule."""

    months: int
    source: str


TEST_INTERVALS: dict[str, tuple[Interval, ...]] = {
    "depth gauge": (Interval(6, "29 CFR 1910.430(g)(2); 46 CFR 197.458(a)"),),
    "timekeeper": (Interval(6, "46 CFR 197.458"),),
    "breathing hose": (
        Interval(12, "from memory: 29 CFR 1910.430(c)(1)(iii)"),
        Interval(24, "46 CFR 197.456"),
    ),
    "compressor air": (Interval(6, "from memory: 29 CFR 1910.430(b)"),),
}


def last_day_of_test(device: str, tested: date) -> date:
    """Return the last day a test holds, by the strictest rule for the device; KeyError for an unknown one.

    A month without that day ends on its own last day, the earlier side.
    """
    months = min(one.months for one in TEST_INTERVALS[device])
    year, month = divmod(tested.year * 12 + tested.month - 1 + months, 12)
    return date(year, month + 1, min(tested.day, monthrange(year, month + 1)[1]))


MARK_EVERY_FT, MARKED_CLOSE_TO_FT, MARK_THEN_EVERY_FT = 10, 100, 50


def umbilical_marks(length_ft: float) -> tuple[int, int]:
    """Return how many marks an umbilical has up to 100 ft and beyond, from the diver's end.

    Every 10 ft to 100 ft, every 50 ft after: 46 CFR 197.312(b)(2).
    """
    close = math.floor(min(length_ft, MARKED_CLOSE_TO_FT) / MARK_EVERY_FT)
    return close, max(0, math.floor((length_ft - MARKED_CLOSE_TO_FT) / MARK_THEN_EVERY_FT))
