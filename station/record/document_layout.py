"""How a record's body is laid out: TOML that people read as well, one row of a list on one line.

Lists of rows are arrays of inline tables and never `[[name]]` tables, so the only such headers in a record
are those of its addenda, statements and signatures.
"""

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import tomli_w

from station.moments import iso

WIDTH: Final = 100
NONE_PRINTED: Final = "none printed"

Value = object
"""A scalar, a list of scalars, or a list of rows; None leaves the key out."""
Row = Mapping[str, Value]


@dataclass(frozen=True)
class Said:
    """A value with a few words for people behind it, as a comment."""

    value: Value
    words: str


@dataclass(frozen=True)
class Table:
    """One table of the body: what it means and which law asks for it stand above it as comments."""

    name: str
    title: str
    fields: Row
    note: str = ""
    law: str = ""


def table_text(table: Table) -> str:
    """Return a table with its heading and notes, one blank line before it."""
    rule = f"# ---- {table.title} ".ljust(WIDTH, "-")
    lines = ["", rule, *comment(table.note), *comment(table.law), f"[{table.name}]"]
    lines += [_line(key, value) for key, value in table.fields.items() if value is not None]
    return "\n".join(lines) + "\n"


def comment(words: str) -> list[str]:
    """Return words as comment lines."""
    return [f"# {line}" for line in textwrap.wrap(words, WIDTH - 2)]


def _line(key: str, value: Value) -> str:
    if isinstance(value, Said):
        return f"{key} = {value_text(value.value)}  # {value.words}"
    if _has_rows(value):
        rows = "".join(f"    {value_text(row)},\n" for row in _items(value))
        return f"{key} = [\n{rows}]"
    return f"{key} = {value_text(value)}"


def value_text(value: Value) -> str:
    """Return a value as TOML on one line; moments in UTC to the millisecond, as everywhere."""
    if isinstance(value, Mapping):
        shown = ", ".join(f"{key} = {value_text(one)}" for key, one in value.items() if one is not None)
        return f"{{ {shown} }}" if shown else "{}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(value_text(one) for one in value)}]"
    if isinstance(value, datetime):
        return iso(value)
    if isinstance(value, str) and _reads_better_as_it_is(value):
        return f"'{value}'"
    # One line for certain: the writer turns line ends within a text into \n unless it is told otherwise.
    return tomli_w.dumps({"v": value}).removeprefix("v = ").removesuffix("\n")


def _reads_better_as_it_is(text: str) -> bool:
    """Whether a text holds quotes or backslashes, and nothing that TOML's literal strings forbid."""
    return ('"' in text or "\\" in text) and "'" not in text and text.isprintable()


def _has_rows(value: Value) -> bool:
    return any(isinstance(one, Mapping) for one in _items(value))


def _items(value: Value) -> Sequence[Value]:
    return value if isinstance(value, Sequence) and not isinstance(value, str) else ()
