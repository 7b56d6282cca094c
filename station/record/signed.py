"""How a record is cut into its body, its statements and its signatures.

    body                     [record] and format first; [signing] names the roles that must sign
    [[addendum]] ...         none in the first part; later ones are signed in turn
    [[statement]]            who signs, as what, when, and what it means
    [[signature]]            covers every byte of the file before this line

The last three repeat. A record ends with the last line of a signature, so cutting it there gives a shorter
record that says itself which signatures it lacks. Bytes are cut by exact lines and never by what a TOML
reader makes of them; what stands between the cuts is then read as TOML, each part alone, and must hold
nothing but its own tables. So no text inside a string can pass for a signature, and no key can slip from
one table into another.
"""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Final

import tomli_w
from pydantic import Field, StringConstraints, ValidationError

from station.errors import RecordError
from station.events import Name, Slug, Text
from station.files import FileModel
from station.moments import Moment, iso

FORMAT: Final = 1
"""The version of the record's format that this program writes and reads."""

OPENING: Final = re.compile(rb"\[record\]\nformat = ([0-9]{1,9})\n")
"""The first two lines of every record of every version."""

BLOCK_LINES: Final = 9
"""Lines of a signature by an Ed25519 key in our namespace, header and closing quotes included."""

_HEADER: Final = re.compile(rb"\[\[signature\]\](?![^\n])")
_BLOCK: Final = re.compile(
    rb'\[\[signature\]\]\nvalue = """\n'
    rb"(-----BEGIN SSH SIGNATURE-----\n(?:[A-Za-z0-9+/=]{1,70}\n){1,20}-----END SSH SIGNATURE-----\n)"
    rb'"""\n'
)
_PART: Final = re.compile(rb"\[\[(?:addendum|statement)\]\](?![^\n])")
"""Both begin with plain bytes, which are searched for at once; that they begin a line is seen after."""
_LINE_END: Final = 0x0A
_PART_NAMES: Final = frozenset({"addendum", "statement", "signature"})

Fingerprint = Annotated[str, StringConstraints(pattern=r"^SHA256:[A-Za-z0-9+/]{43}$")]
Place = Annotated[
    str,
    StringConstraints(
        pattern=r"^(line [1-9][0-9]{0,6}|[a-z][a-z0-9_]*(\[[1-9][0-9]{0,5}\])?"
        r"(\.[a-z][a-z0-9_]*(\[[1-9][0-9]{0,5}\])?)*)$",
        max_length=120,
    ),
]
"""A place in the body: a key such as times.bottom_time_min or depth.readings[3], or `line 120`; from 1."""


class Declaration(FileModel):
    """What a person says by signing: who, as what, when, and what it means."""

    person: Slug
    name: Name
    role: Slug
    at: Moment
    meaning: Text


class Statement(Declaration):
    """A declaration as it stands in the file: bound to a key, and to a drill or a real dive."""

    key: Fingerprint
    drill: bool


class Addendum(FileModel):
    """A correction after signing: what stands in the body stays, this says what should have stood there."""

    corrects: Place
    text: Text
    reason: Text
    by: Slug
    at: Moment


class Segment(FileModel):
    """What stands between two signatures, or between the body and the first one."""

    addendum: tuple[Addendum, ...] = ()
    statement: Annotated[tuple[Statement, ...], Field(min_length=1, max_length=1)]


class Signing(FileModel):
    """The body's table of the roles that must sign."""

    required: Annotated[tuple[Slug, ...], Field(min_length=1)]


class RecordTable(FileModel, extra="ignore"):
    """The key of the body's first table that every statement repeats."""

    drill: bool


class Head(FileModel, extra="ignore"):
    """What this room reads of the body; the rest is the document's."""

    record: RecordTable
    signing: Signing


@dataclass(frozen=True)
class Part:
    """A statement and its signature; offsets are bytes from the start of the file."""

    segment: bytes
    header: int
    """Where the signature's header line begins: every byte before it is covered."""
    end: int
    """Where the signature's last line ends."""
    armor: bytes


@dataclass(frozen=True)
class Layout:
    """A record cut up; `rest` is what stands after the last signature, empty in a sound record."""

    body: bytes
    parts: tuple[Part, ...]
    rest: bytes


def split(data: bytes) -> Layout:
    """Cut a record into its parts; RecordError when a signature is not written as signatures are."""
    headers = list(_line_starts(_HEADER, data))
    body_end = next(_line_starts(_PART, data, headers[0] if headers else None), None)
    if body_end is None:
        body_end = headers[0] if headers else len(data)
    blocks: list[re.Match[bytes]] = []
    for number, header in enumerate(headers, start=1):
        block = _BLOCK.match(data, header)
        if block is None:
            raise RecordError(
                f"signature {number} (line {line_of(data, header)}) is not written as signatures are"
            )
        blocks.append(block)
    starts = [body_end, *(block.end() for block in blocks)]
    parts = tuple(
        Part(data[start : block.start()], block.start(), block.end(), block[1])
        for start, block in zip(starts, blocks, strict=False)
    )
    return Layout(data[:body_end], parts, data[starts[-1] :])


def new_bytes(layout: Layout) -> tuple[tuple[int, int], ...]:
    """Return, per signature, the bytes it covers that no earlier one does: first, and one past the last."""
    starts = [0, *(part.end for part in layout.parts)]
    return tuple((start, part.header) for start, part in zip(starts, layout.parts, strict=False))


def line_of(data: bytes, offset: int) -> int:
    """Return the number of the line that holds the byte at an offset; lines count from 1."""
    return data.count(b"\n", 0, offset) + 1


def opens_with_part(segment: bytes) -> bool:
    """Return whether nothing but blank lines stands before a segment's first table."""
    found = next(_line_starts(_PART, segment), None)
    return found is not None and not segment[:found].strip(b"\n")


def _line_starts(wanted: re.Pattern[bytes], data: bytes, end: int | None = None) -> Iterator[int]:
    """Yield where lines begin, before the end given, that are wholly what is wanted."""
    for found in wanted.finditer(data, 0, len(data) if end is None else end):
        if not found.start() or data[found.start() - 1] == _LINE_END:
            yield found.start()


def read_head(document: Mapping[str, Any]) -> Head:
    """Return what this room needs of a body read as TOML; RecordError when it is missing or wrong."""
    for name in ("record", "signing"):
        if not isinstance(document.get(name), dict):
            raise RecordError(f"the body has no table [{name}]; it was cut short or never whole")
    for name in sorted(_PART_NAMES):
        if name in document:
            raise RecordError(f"the body holds a key '{name}', which only what follows it may hold")
    try:
        # By way of JSON: strict, yet a TOML array may fill a tuple.
        return Head.model_validate_json(
            json.dumps({"record": document["record"], "signing": document["signing"]}, default=str)
        )
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"])
        why = "it names nobody" if first["type"] == "too_short" else first["msg"].lower()
        raise RecordError(f"the body's {key} is not right: {why}") from None


def segment_bytes(statement: Statement, addenda: Sequence[Addendum] = ()) -> bytes:
    """Return what a signature is put under: addenda, if any, and one statement."""
    tables = [*(_table("addendum", one) for one in addenda), _table("statement", statement)]
    return "".join([*tables, "\n"]).encode()


def block_bytes(armor: bytes) -> bytes:
    """Return a signature's table."""
    return b'[[signature]]\nvalue = """\n' + armor + b'"""\n'


def _table(name: str, said: Addendum | Statement) -> str:
    # The header line is written here: a TOML writer may fold a short list of tables into one key, which,
    # standing after another table, would become a key of that table. The time is a TOML time, in the form of
    # all others.
    return f"\n[[{name}]]\n{tomli_w.dumps(said.model_dump(exclude={'at'}))}at = {iso(said.at)}\n"
