"""Tables of a record that its print has no place of its own for: shown as they stand, so nothing is lost.

Another authority may ask for more than this one, and a later version may write more; both print.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from station.record.render_page import Body, plain, shown

PRINTED: Final = frozenset(
    {
        "record", "station", "operation", "dive", "people", "conditions", "outfit", "inspection", "dressing",
        "times", "depth", "supply", "voice", "schedule", "ascent", "oxygen", "chamber", "cards", "repetitive",
        "altitude", "company", "after", "files", "signing", "remarks", "corrections", "journal", "alarms",
        "planning", "briefing", "told", "sickness", "casualty", "law", "gaps",
    }
)  # fmt: skip
"""The tables that have sections of their own."""
_PERSON: Final = frozenset({"by", "person", "checked_by"})


def other_tables(body: Body) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Yield the name of each other table, with its keys and values in words."""
    for name, table in body.document.items():
        if name not in PRINTED:
            fields = table if isinstance(table, Mapping) else {name: table}
            yield label(name), list(_fields(body, fields))


def _fields(body: Body, table: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        if isinstance(value, list) and any(isinstance(one, Mapping) for one in value):
            yield from ((label(key), _row(body, one)) for one in value if isinstance(one, Mapping))
        else:
            yield label(key), _value(body, key, value)


def _row(body: Body, row: Mapping[str, object]) -> str:
    """Return a row in words: its moment first, then each key with its value."""
    first = f"{shown(row['at'])}  " if "at" in row else ""
    rest = (f"{label(key)}: {_value(body, key, value)}" for key, value in row.items() if key != "at")
    return first + "; ".join(rest)


def _value(body: Body, key: str, value: object) -> str:
    if isinstance(value, Mapping):
        return _row(body, value)
    if isinstance(value, str) and key in _PERSON:
        return body.name(value)
    return shown(value)


def label(key: str) -> str:
    """Return a key as words."""
    return plain(key.replace("_", " "))
