"""The turn: until when to leave the bottom with air for everyone's way home, beside the schedule's time."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from station.supply.cover import Coverage

LONGEST_MIN = 1440
"""No dive is longer; the search ends there."""

CoverageAt = Callable[[int], Coverage | None]


@dataclass(frozen=True)
class Turn:
    """The last minute of bottom time to leave at: `minute`, None when it is not covered even now.

    `leads` says what ends the dive first; at the same minute the schedule does. `air_min` is the last minute
    covered by air, as far as the search went: with `air_open` nothing looked at was short. `schedule_min` is
    None where no schedule sets an end.
    """

    minute: int | None
    leads: Literal["air", "schedule", "neither"]
    air_min: int | None
    air_open: bool
    schedule_min: int | None
    words: str


def turn(
    coverage_at: CoverageAt, now_min: int, schedule_min: int | None, latest_min: int = LONGEST_MIN
) -> Turn:
    """Return the turn time of a dive in its `now_min`th minute of bottom time.

    Args:
        coverage_at: the air for leaving when a bottom time of so many whole minutes is complete, with the
            stay until then and the ascent by that minute's schedule; None where there is no schedule.
        now_min: the bottom time in whole minutes if the bottom were left now.
        schedule_min: until when the plan, or the schedule in force, holds; None for no end.
        latest_min: how far to look.

    The search halves the span each time: a minute more never needs less air, and once the tables print no
    schedule they print none for longer.

    """
    first = coverage_at(now_min)
    if first is None:
        return Turn(None, "schedule", None, False, None, "no schedule, so no ascent to reckon with")  # noqa: FBT003
    if not first.covered:
        return Turn(None, "air", None, False, schedule_min, f"NOT COVERED NOW: {first.words}")  # noqa: FBT003
    air_min, after = _last_covered(coverage_at, now_min, max(now_min, latest_min))
    air_open = air_min >= latest_min or after is None
    if after is None and air_min < latest_min:
        # The tables end here: they set an end even where the plan names none.
        schedule_min = air_min if schedule_min is None else min(schedule_min, air_min)
    return _turn(air_min, schedule_min, after, air_open=air_open)


def _last_covered(coverage_at: CoverageAt, low: int, high: int) -> tuple[int, Coverage | None]:
    """Return the last covered minute from `low`, which is, to `high`; and what the next one comes to."""
    after, high = None, high + 1
    while high - low > 1:
        middle = (low + high) // 2
        found = coverage_at(middle)
        if found is not None and found.covered:
            low = middle
        else:
            high, after = middle, found
    return low, after


def _turn(air_min: int, schedule_min: int | None, after: Coverage | None, *, air_open: bool) -> Turn:
    if schedule_min is not None and (air_open or schedule_min <= air_min):
        air = f"no end of the air found to {air_min} min" if air_open else f"air to {air_min} min"
        words = f"leave by {schedule_min} min: the schedule ends first; {air}"
        return Turn(schedule_min, "schedule", air_min, air_open, schedule_min, words)
    if air_open:
        words = f"neither air nor schedule ends it within {air_min} min"
        return Turn(air_min, "neither", air_min, air_open, schedule_min, words)
    short = "" if after is None else f", a minute more is short by {-after.spare_scf} scf"
    beside = "sets no end" if schedule_min is None else f"holds to {schedule_min} min"
    words = f"leave by {air_min} min: AIR ends the dive first{short}; the schedule {beside}"
    return Turn(air_min, "air", air_min, air_open, schedule_min, words)
