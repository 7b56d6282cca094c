"""What people type: each check returns why a text cannot stand, each reader returns what it means."""

import re
from collections.abc import Callable
from datetime import date

from station.console.dialogs.fields import Check
from station.errors import UsageError
from station.units import parse_depth, parse_pressure, parse_temperature

_CLOCK = re.compile(r"([01]?\d|2[0-3]):[0-5]\d(:[0-5]\d)?")


def depth(unit: str) -> Check:
    """Return the check of a depth typed in the station's unit."""
    return _quantity(parse_depth, unit)


def pressure(unit: str) -> Check:
    """Return the check of a pressure typed in the station's unit."""
    return _quantity(parse_pressure, unit)


def temperature(text: str) -> str | None:
    """Check a temperature in degrees Celsius, or with its unit."""
    return _quantity(parse_temperature, "C")(text)


def minutes(text: str) -> str | None:
    """Check a whole number of minutes."""
    return None if number(text) is None and int(text) > 0 else "write whole minutes, such as 35"


def number(text: str) -> str | None:
    """Check a whole number."""
    return None if text.strip().isascii() and text.strip().isdecimal() else "write a number, such as 7"


def clock(text: str) -> str | None:
    """Check a time of day."""
    return None if _CLOCK.fullmatch(text.strip()) else "write the time of day in UTC as HH:MM:SS"


def day(text: str) -> str | None:
    """Check a calendar day."""
    try:
        date.fromisoformat(text.strip())
    except ValueError:
        return "write the day as YYYY-MM-DD"
    return None


def day_of(text: str) -> date | None:
    """Return a typed day, None for an empty one."""
    return date.fromisoformat(text) if text else None


def _quantity(read: Callable[[str, str], float], unit: str) -> Check:
    def check(text: str) -> str | None:
        try:
            read(text, unit)
        except UsageError as error:
            return error.message
        return None

    return check
