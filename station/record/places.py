"""Places in a record's body, as an addendum names them: what stands there."""

import re
from typing import Any, Final

from station.errors import FileError, RecordError
from station.files import parse_toml
from station.record.document_layout import value_text
from station.record.signed import split

_STEP: Final = re.compile(r"([a-z][a-z0-9_]*)(?:\[([0-9]+)\])?")
_LONG: Final = 200
"""Characters of what stands there that are shown."""


def what_stands(data: bytes, place: str) -> str:
    """Return what stands at a place of a record, on one line; RecordError when there is no such place.

    A place is a key such as `times.bottom_time_min` or `depth.readings[3]`, or `line 120`; both count from 1.
    """
    body = split(data).body
    text = _line(body, place) if place.startswith("line ") else _value(body, place)
    return text if len(text) <= _LONG else text[: _LONG - 3] + "..."


def _line(body: bytes, place: str) -> str:
    lines = body.decode("utf-8", "replace").split("\n")
    number = int(place.removeprefix("line ")) if place.removeprefix("line ").isdecimal() else 0
    if not 0 < number < len(lines):
        raise RecordError(f"the record's body has no {place}; it has lines 1 to {len(lines) - 1}")
    return lines[number - 1].strip()


def _value(body: bytes, place: str) -> str:
    try:
        found: Any = parse_toml(body, "record")
    except FileError as error:
        raise RecordError(f"the body is {error.problems[0][1]}") from None
    try:
        for step in place.split("."):
            found = _taken(found, step)
    except (KeyError, IndexError, TypeError):
        example = "times.bottom_time_min or depth.readings[3]"
        raise RecordError(f"the record has no key {place}; keys are written as {example}") from None
    return value_text(found)


def _taken(found: Any, step: str) -> Any:
    parts = _STEP.fullmatch(step)
    if parts is None:
        raise KeyError(step)
    value = found[parts[1]]
    if not parts[2]:
        return value
    if (row := int(parts[2])) < 1:
        raise IndexError(row)
    return value[row - 1]
