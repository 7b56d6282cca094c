"""What a printed record is put together from: a body read with care, and lines that fit the page."""

import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import zip_longest
from typing import Any, Final

from station.errors import StationError
from station.files import parse_toml
from station.moments import clock_time
from station.record.signed import split
from station.record.verify import Status, Verdict

COLUMNS: Final = 80
_DRILL: Final = "DRILL"
_LONG: Final = 10
_HUGE: Final = 10**18
_UNREADABLE: Final = frozenset({Status.NOT_A_RECORD, Status.NEWER})


@dataclass(frozen=True)
class Body:
    """A record's body. Whatever is missing or of another kind than it should be reads as "-" or as nothing.

    A record that was altered is shown as far as it goes; nothing in it can stop it from being shown.
    """

    document: Mapping[str, Any]

    def text(self, table: str, key: str) -> str:
        """Return one value as text."""
        found = self.document.get(table)
        return shown(found.get(key)) if isinstance(found, Mapping) else "-"

    def flag(self, table: str, key: str) -> bool:
        """Return whether a value is true."""
        found = self.document.get(table)
        return isinstance(found, Mapping) and found.get(key) is True

    def rows(self, table: str, key: str) -> list["Row"]:
        """Return the rows of a list."""
        found = self.document.get(table)
        rows = found.get(key) if isinstance(found, Mapping) else None
        return [Row(row) for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []

    def name(self, person: str) -> str:
        """Return the name of a person of the team, or the id where it has none."""
        return next((row["name"] for row in self.rows("people", "team") if row["id"] == person), person)


def body_of(data: bytes, verdict: Verdict) -> Body | None:
    """Return a record's body as far as it can be read; None where it cannot be laid out at all."""
    if verdict.status in _UNREADABLE:
        return None
    try:
        return Body(parse_toml(split(data).body, "record"))
    except (StationError, ValueError, RecursionError):
        return None


@dataclass(frozen=True)
class Row:
    """One row of a list; every value as text."""

    values: Mapping[str, Any]

    def __getitem__(self, key: str) -> str:
        return shown(self.values.get(key))

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def or_nothing(self, key: str) -> str:
        """Return a value, "" where there is none."""
        return shown(self.values[key]) if key in self.values else ""


def in_place(rows: Sequence[Row], key: str) -> list[tuple[Row, bool]]:
    """Return each row with whether a later one of the same key stands in its place."""
    last = {row[key]: at for at, row in enumerate(rows)}
    return [(row, at < last[row[key]]) for at, row in enumerate(rows)]


def plain(text: str) -> str:
    """Return text with everything a terminal might act on, or hide, written out."""
    return "".join(one if one.isprintable() else repr(one)[1:-1] for one in text)


def shown(value: object) -> str:
    """Return a value as people read it: a moment as its time of day, a number without needless decimals."""
    if isinstance(value, list):
        return ", ".join(_one(one) for one in value)
    return _one(value)


def _one(value: object) -> str:
    for kind, words in _KINDS:
        if isinstance(value, kind):
            return words(value)
    return "-"


_KINDS: Final[tuple[tuple[type, Callable[[Any], str]], ...]] = (
    (bool, lambda value: "yes" if value else "no"),
    (int, lambda value: str(value) if abs(value) < _HUGE else "-"),
    (float, lambda value: f"{value:g}"),
    (datetime, lambda value: clock_time(value) if value.tzinfo and value.year > 1 else str(value)),
    (date, str),
    (str, plain),
)


def site_stops(body: Body) -> Iterator[str]:
    """Yield each stop at altitude as the table has it, as deep as it lay, and as the gauge read there."""
    unit = body.text("schedule", "unit")
    for row in body.rows("altitude", "stops"):
        gauge = f", {row['gauge']} {unit} on the gauge" if "gauge" in row else ""
        yield f"the table's {row['table']} {unit} is {row['here']} {unit} here{gauge}"


def mmss(seconds: str) -> str:
    """Return a whole number of seconds as minutes and seconds; anything else as it is."""
    if not (seconds.isascii() and seconds.isdecimal() and len(seconds) < _LONG):
        return seconds
    return f"{int(seconds) // 60}:{int(seconds) % 60:02}"


def wrapped(text: str, indent: int = 0) -> list[str]:
    """Return text broken into lines that fit; long words are broken too."""
    return textwrap.wrap(text, COLUMNS, subsequent_indent=" " * indent)


def pairs(found: Sequence[tuple[str, str]], width: int = 22) -> Iterator[str]:
    """Yield one line for each label with its value."""
    for label, value in found:
        yield from textwrap.wrap(f"{label:<{width}} {value}", COLUMNS, subsequent_indent=" " * (width + 1))


def columns(cells: Sequence[str], count: int) -> Iterator[str]:
    """Yield cells in so many columns, read downwards; a cell too long for its column takes more lines."""
    width = (COLUMNS - 2 * (count - 1)) // count
    height = -(-len(cells) // count)
    stacks = [
        [
            line
            for cell in cells[at : at + height]
            for line in textwrap.wrap(cell, width, subsequent_indent="   ")
        ]
        for at in range(0, len(cells), max(height, 1))
    ]
    for row in zip_longest(*stacks, fillvalue=""):
        yield "  ".join(line.ljust(width) for line in row).rstrip()


def heading(title: str, *, drill: bool) -> str:
    """Return the line above a section, marked when it is a drill's."""
    end = f" {_DRILL} ==" if drill else ""
    return f"== {title.upper()} ".ljust(COLUMNS - len(end), "=") + end


def drill_band() -> str:
    """Return the line that stands at the head and the foot of a drill's print."""
    return f" {_DRILL} - NOBODY WAS IN THE WATER - {_DRILL} ".center(COLUMNS, "*")
