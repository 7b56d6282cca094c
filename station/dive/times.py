"""Times of a dive, exact to the millisecond before they are rounded."""

from datetime import datetime

from station.moments import ms_between

MS_PER_S = 1000
MS_PER_MIN = 60_000


def minutes_up(milliseconds: int) -> int:
    """Return whole minutes, rounded up: 34:00.000 is 34, 34:00.001 is 35 (USN Rev 4/5, 9-3)."""
    return -(-milliseconds // MS_PER_MIN)


def seconds_up(milliseconds: int) -> int:
    """Return whole seconds, rounded up: for times still to be served or waited."""
    return -(-milliseconds // MS_PER_S)


def seconds_down(milliseconds: int) -> int:
    """Return whole seconds, rounded down: for times served, or left before something longer begins."""
    return milliseconds // MS_PER_S


def bottom_minutes(left_surface: datetime, left_bottom: datetime) -> int:
    """Return the bottom time: left surface to left bottom in minutes, rounded up (USN Rev 4/5, 9-3)."""
    return minutes_up(ms_between(left_surface, left_bottom))


def descent_minutes(left_surface: datetime, reached_bottom: datetime) -> int:
    """Return the descent time: left surface to reached bottom in minutes, rounded up (USN Rev 4/5, 9-3)."""
    return minutes_up(ms_between(left_surface, reached_bottom))
