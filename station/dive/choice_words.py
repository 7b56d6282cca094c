"""A choice of the station in words, for the trail line in which it bites."""

from station.dive.choices import (
    LookUpAgain,
    NoStopDelay,
    PlaceUnknown,
    SeveralPlaces,
    StayingOn,
    StopAfterDelay,
    TimeSpent,
)

MARK = "(station choice)"
PLACE_UNKNOWN: dict[PlaceUnknown, str] = {
    "by the departure depth": f"place not known, counted by the departure depth {MARK}",
    "deeper column": f"place not known, counted in the deeper column {MARK}",
}
SEVERAL_PLACES: dict[SeveralPlaces, str] = {
    "deeper if any was": f"in several places, the deeper one counts {MARK}",
    "where it came to count": f"in several places, the one where it outgrew what is let pass counts {MARK}",
}
NO_STOP_DELAY: dict[NoStopDelay, str] = {
    "bottom time": f"no stop was planned, added to the bottom time {MARK}",
    "by its place": f"no stop was planned, nothing to add it to {MARK}",
}
TIME_SPENT: dict[TimeSpent, str] = {
    "counts": f"the time spent here counts {MARK}",
    "does not count": f"the new time here is served in full {MARK}",
}
STAYING_ON: dict[StayingOn, str] = {
    "no delay": f"staying on for it is no delay {MARK}",
    "delay": f"staying on for it is delay as well {MARK}",
}
STOP_AFTER_DELAY: dict[StopAfterDelay, str] = {
    "from arrival": f"runs from arrival {MARK}",
    "less the minute let pass": f"runs from arrival, less the travel and what is let pass {MARK}",
}
LOOK_UP_AGAIN: dict[LookUpAgain, str] = {
    "no stop gets shorter": f"no stop gets shorter {MARK}",
    "stops to come as printed": f"shorter stops to come are as printed {MARK}",
}


def joined(*parts: str) -> str:
    """Return the parts that say something, in one line."""
    return "; ".join(part for part in parts if part)
