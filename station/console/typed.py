"""What people type: each check returns why a text cannot stand, each reader returns what it means."""

import re
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime

from pydantic import ValidationError

from station.console.dialogs.fields import Check
from station.errors import UsageError
from station.units import parse_depth, parse_pressure, parse_temperature

_FIGURE = re.compile(r"\d{1,7}(\.\d{1,3})?")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):[0-5]\d(:[0-5]\d)?")


_UNITS = {"_fsw": " in fsw", "_psig": " in psig", "_min": " in minutes", "_c": " in C"}
_BOUNDS = {"less_than_equal": "at most", "less_than": "less than", "greater_than_equal": "at least"} | {
    "greater_than": "more than"
}


def impossible(error: ValidationError) -> str:
    """Return in words why an entry cannot be: what of it, what is possible, what it was."""
    first = error.errors()[0]
    name = ", ".join(str(part) for part in first["loc"])
    for ending, words in _UNITS.items():
        name = f"{name.removesuffix(ending)}{words}" if name.endswith(ending) else name
    name, typed = name.replace("_", " "), first["input"]
    limit = next(iter(first.get("ctx", {}).values()), None)
    if first["type"] in _BOUNDS and isinstance(limit, int | float) and isinstance(typed, int | float):
        return f"{name}: {_BOUNDS[first['type']]} {limit:g} is possible, not {typed:g}"
    return f"{name}: {first['msg'][0].lower()}{first['msg'][1:]}"


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


def figure(text: str) -> str | None:
    """Check a figure with at most three decimals."""
    return None if _FIGURE.fullmatch(text.strip()) else "write a figure, such as 20.9"


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


def moment(text: str) -> str | None:
    """Check a day with a time of day."""
    try:
        moment_of(text)
    except ValueError:
        return "write day and time in UTC as YYYY-MM-DD HH:MM"
    return None


def moment_of(text: str) -> datetime:
    """Return a typed day and time of day in UTC; ValueError when it is none."""
    day_text, _, time_text = text.strip().partition(" ")
    if clock(time_text):
        raise ValueError(text)
    hours, *rest = time_text.strip().split(":")
    return datetime.fromisoformat(f"{day_text}T{hours:0>2}:{':'.join(rest)}").replace(tzinfo=UTC)


def amount(text: str) -> str | None:
    """Check a whole number that may be below zero."""
    return number(text.strip().removeprefix("-"))


def group(groups: Sequence[str], none: str) -> Check:
    """Return the check of a repetitive group of the tables, or of the word for none."""

    def check(text: str) -> str | None:
        if text.strip().upper() in groups or text.strip().lower() == none:
            return None
        return f"write a group of the tables, {' '.join(groups)}, or {none}"

    return check


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
