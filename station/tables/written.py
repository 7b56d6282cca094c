"""Times as tables print them: "1:20" is minutes and seconds, or hours and minutes."""

import re

_SIXTIES = re.compile(r"([0-9]{1,4}):([0-5][0-9])")


def sixties(value: object) -> int:
    """Return "1:20" as 80: minutes and seconds as seconds, hours and minutes as minutes; else ValueError."""
    found = _SIXTIES.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        raise ValueError(f'must be a time in quotes such as "1:20" (found {value!r})')
    return int(found[1]) * 60 + int(found[2])


def mmss(seconds: int) -> str:
    """Return whole seconds as 138:40, never with hours; with a minus sign before a negative time."""
    sign = "-" if seconds < 0 else ""
    return f"{sign}{abs(seconds) // 60}:{abs(seconds) % 60:02}"


def hmm(minutes: int) -> str:
    """Return whole minutes as 2:37, hours and minutes."""
    return mmss(minutes)
