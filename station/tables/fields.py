"""The kinds of figure a table file holds, with their limits and the marks that may stand in their place."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StringConstraints

from station.tables.written import sixties

Words = Annotated[str, StringConstraints(min_length=1, max_length=300, strip_whitespace=True)]
Group = Annotated[str, StringConstraints(pattern=r"^[A-Z]{1,2}$")]
ClassName = Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]{1,60}$")]
CheckName = Annotated[str, StringConstraints(min_length=1, max_length=60)]
Depth = Annotated[int, Field(ge=1, le=1000)]
Minutes = Annotated[int, Field(ge=1, le=10_000)]
Rate = Annotated[float, Field(gt=0, le=1000)]
HalfPeriods = Annotated[float, Field(ge=0, le=100, multiple_of=0.5)]


def _whole(value: object, *words: str) -> int | str:
    """Return a whole number of minutes, or one of the words that may stand in its place."""
    if isinstance(value, str) and value in words:
        return value
    if isinstance(value, int) and not isinstance(value, bool) and value > 0:
        return value
    instead = "".join(f' or "{word}"' for word in words)
    raise ValueError(f"must be whole minutes greater than 0{instead} (found {value!r})")


def _limit(value: object) -> int | str | None:
    found = _whole(value, "unlimited")
    return None if found == "unlimited" else found


def _longest(value: object) -> int | str | None:
    found = _whole(value, "*")
    return None if found == "*" else found


def _residual(value: object) -> int | str:
    return _whole(value, "**", "†")


MinSec = Annotated[int, BeforeValidator(sixties)]
"""Seconds, written "m:ss" as the tables print them."""
HourMin = Annotated[int, BeforeValidator(sixties)]
"""Minutes, written "h:mm" as the tables print them."""
Limit = Annotated[int | None, BeforeValidator(_limit)]
"""A no-stop limit in minutes; None where the file says "unlimited"."""
Longest = Annotated[int | None, BeforeValidator(_longest)]
"""The longest no-stop time of a group in minutes; None for "*", the highest group that can be reached."""
ResidualTime = Annotated[int | Literal["**", "†"], BeforeValidator(_residual)]
"""Residual nitrogen time in minutes, or the printed mark that stands in its place."""
Stop = tuple[Depth, Minutes]
"""A stop: its depth and its minutes."""
