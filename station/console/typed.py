"""What people type: each check returns why a text cannot stand, each reader returns what it means."""

import re
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from functools import partial
from typing import Any, Final

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from station.console.dialogs.fields import Check, Field
from station.errors import UsageError
from station.units import (
    down_to,
    from_fsw,
    parse_depth,
    parse_pressure,
    parse_temperature,
    pressure_in,
    up_to,
)

TENTH: Final = 0.1
TO_COME: Final = "(to come)"
"""Stands for words of an entry that are asked for further down, where its figures are weighed before."""
_FIGURE = re.compile(r"\d{1,7}(\.\d{1,3})?")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):[0-5]\d(:[0-5]\d)?")


_BOUNDS = {"less_than_equal": "at most", "less_than": "less than", "greater_than_equal": "at least"} | {
    "greater_than": "more than"
}
_UNITS = {"_fsw": " in fsw", "_psig": " in psig", "_min": " in minutes", "_c": " in C"}
_CEILINGS = ("less_than_equal", "less_than")
Shown = Callable[[float], float]
"""Turns a bound of an entry into the unit that people type in."""


def impossible(error: ValidationError) -> str:
    """Return in words why an entry cannot be: what of it, what is possible, what it was."""
    first = error.errors()[0]
    name = ", ".join(str(part) for part in first["loc"])
    for ending, words in _UNITS.items():
        name = f"{name.removesuffix(ending)}{words}" if name.endswith(ending) else name
    typed = first["input"]
    written = f"{typed:g}" if isinstance(typed, int | float) else str(typed)
    return f"{name.replace('_', ' ')}: {_why(first, written)}"


def of(model: type[BaseModel], name: str, read: Callable[[str], Any] = str.strip) -> Check:
    """Return the check of one field of an entry: the entry's own model judges what was typed.

    `read` returns the value that a typed text stands for; it may raise what pydantic takes for a wrong value.
    """
    return _fits(model, name, read, None, "")


def reason(model: type[BaseModel]) -> Field:
    """Return the field that asks for the reason of an entry."""
    return Field("reason", "Reason", check=of(model, "reason"))


def depth(unit: str, model: type[BaseModel], name: str) -> Check:
    """Return the check of a depth typed in the station's unit, a field of an entry in fsw."""
    read = partial(parse_depth, default_unit=unit)
    return _both(_read_by(read), _fits(model, name, read, partial(from_fsw, unit=unit), f" {unit}"))


def pressure(unit: str, model: type[BaseModel], name: str) -> Check:
    """Return the check of a pressure typed in the station's unit, a field of an entry in psig."""
    read = partial(parse_pressure, default_unit=unit)
    return _both(_read_by(read), _fits(model, name, read, partial(pressure_in, unit=unit), f" {unit}"))


def temperature(model: type[BaseModel], name: str) -> Check:
    """Return the check of a temperature in degrees Celsius, or with its unit."""
    read = partial(parse_temperature, default_unit="C")
    return _both(_read_by(read), _fits(model, name, read, None, " C"))


def minutes(model: type[BaseModel], name: str) -> Check:
    """Return the check of a whole number of minutes."""
    return _both(_whole_minutes, _fits(model, name, int, None, " min"))


def number(model: type[BaseModel], name: str) -> Check:
    """Return the check of a whole number."""
    return _both(_whole_number, of(model, name, int))


def amount(model: type[BaseModel], name: str) -> Check:
    """Return the check of a whole number that may be below zero."""
    return _both(lambda text: _whole_number(text.strip().removeprefix("-")), of(model, name, float))


def figure(model: type[BaseModel], name: str) -> Check:
    """Return the check of a figure with at most three decimals."""
    return _both(_a_figure, of(model, name, float))


def clock(text: str) -> str | None:
    """Check a time of day."""
    return (
        None
        if _CLOCK.fullmatch(text.strip())
        else "write the time of day in UTC as HH:MM:SS, 23:59:59 at most"
    )


def day(text: str) -> str | None:
    """Check a calendar day."""
    try:
        date.fromisoformat(text.strip())
    except ValueError:
        return "write a day of the calendar as YYYY-MM-DD"
    return None


def moment(text: str) -> str | None:
    """Check a day with a time of day."""
    try:
        moment_of(text)
    except ValueError:
        return "write a day of the calendar and the time in UTC as YYYY-MM-DD HH:MM"
    return None


def moment_of(text: str) -> datetime:
    """Return a typed day and time of day in UTC; ValueError when it is none."""
    day_text, _, time_text = text.strip().partition(" ")
    if clock(time_text):
        raise ValueError(text)
    hours, *rest = time_text.strip().split(":")
    return datetime.fromisoformat(f"{day_text}T{hours:0>2}:{':'.join(rest)}").replace(tzinfo=UTC)


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


def _whole_minutes(text: str) -> str | None:
    return None if _whole_number(text) is None and int(text) > 0 else "write whole minutes, such as 35"


def _whole_number(text: str) -> str | None:
    return None if text.strip().isascii() and text.strip().isdecimal() else "write a number, such as 7"


def _a_figure(text: str) -> str | None:
    return None if _FIGURE.fullmatch(text.strip()) else "write a figure, such as 20.9"


def _both(first: Check, then: Check) -> Check:
    return lambda text: first(text) or then(text)


def _read_by(read: Callable[[str], float]) -> Check:
    def check(text: str) -> str | None:
        try:
            read(text)
        except UsageError as error:
            return error.message
        return None

    return check


def _fits(
    model: type[BaseModel], name: str, read: Callable[[str], Any], shown: Shown | None, unit: str
) -> Check:
    """Return the check whether a value may stand in a field of an entry; of the others nothing is asked."""

    def check(text: str) -> str | None:
        try:
            model.model_validate({name: read(text)})
        except ValidationError as error:
            mine = (one for one in error.errors() if one["loc"][:1] == (name,))
            return next((_why(one, f"'{text.strip()}'", shown, unit) for one in mine), None)
        return None

    return check


def _why(error: ErrorDetails, typed: str, shown: Shown | None = None, unit: str = "") -> str:
    """Return what is possible; a bound in the unit people type in is rounded so that it can be typed."""
    kind, limit = error["type"], next(iter(error.get("ctx", {}).values()), None)
    if kind in _BOUNDS and isinstance(limit, int | float):
        if shown:
            limit = (down_to if kind in _CEILINGS else up_to)(shown(limit), TENTH)
        return f"{_BOUNDS[kind]} {limit:g}{unit} is possible, not {typed}"
    words = error["msg"].removeprefix("Value error, ")
    return f"{words[0].lower()}{words[1:]}"
