"""Making an entry of an event, and reading entries back with every check of the chain."""

import json
from collections.abc import Iterable, Iterator

from pydantic import ValidationError
from pydantic_core import PydanticSerializationError

from station.errors import JournalError
from station.events import Event, from_text, to_text
from station.journal.chain import body_digest, link
from station.journal.interface import Entry
from station.journal.sentences import EVIDENCE, plain

Row = tuple[int, bytes | None, object, object]
"""An entry as stored: its number, its body in UTF-8, the hash before it, its own hash. A damaged file may
hold anything in place of the last two, and nothing in place of the body."""

KNOWN_VERSION = 1
"""Highest version of an event this program writes."""


def sealed(source: str, seq: int, event: Event, previous: bytes) -> Entry:
    """Return the event as entry `seq` behind the hash `previous`.

    Raises:
        JournalError: the event would not read back from its own text, so it must not be written.
    """
    try:
        body = to_text(event)
        back = from_text(body)
    except (ValidationError, PydanticSerializationError) as error:
        why = reason(error) if isinstance(error, ValidationError) else str(error)
        raise JournalError(
            f"{source}: this {event.kind} cannot be kept as an entry ({why}); nothing was written"
        ) from error
    return Entry(seq, back, body, link(previous, body_digest(body)))


def checked(source: str, rows: Iterable[Row], after: int, previous: bytes) -> Iterator[Entry]:
    """Yield the entries of the rows behind entry `after`, whose hash is `previous`.

    Raises:
        JournalError: the first entry that is missing, changed or unreadable, by its number.
    """
    for wanted, (seq, body, stored_previous, stored_hash) in enumerate(rows, start=after + 1):
        if seq != wanted:
            raise JournalError(f"{source}: entry {wanted} is missing; {EVIDENCE}")
        if stored_previous != previous:
            raise JournalError(
                f"{source}: entry {seq} does not follow from entry {seq - 1}, so one of them was changed "
                f"after it was written; {EVIDENCE}"
            )
        text = _text(source, seq, body)
        previous = link(previous, body_digest(text))
        if stored_hash != previous:
            raise JournalError(f"{source}: entry {seq} was changed after it was written; {EVIDENCE}")
        yield Entry(seq, _event(source, seq, text), text, previous)


def _text(source: str, seq: int, body: bytes | None) -> str:
    try:
        return (body or b"").decode("utf-8")
    except UnicodeDecodeError:
        raise JournalError(
            f"{source}: entry {seq} was changed after it was written, it is not UTF-8 text; {EVIDENCE}"
        ) from None


def _event(source: str, seq: int, text: str) -> Event:
    """Return the event; JournalError tells an entry of a newer program from one that is simply wrong."""
    try:
        return from_text(text)
    except ValidationError as error:
        newer = _newer(text, error)
        if newer:
            raise JournalError(
                f"{source}: entry {seq} is {newer}, which this program does not know; "
                "read the journal with the program that wrote it, or a newer one"
            ) from None
        raise JournalError(f"{source}: entry {seq} cannot be read ({reason(error)}); {EVIDENCE}") from None


def _newer(text: str, error: ValidationError) -> str:
    """Return what shows that a newer program wrote the entry, "" when nothing does."""
    problem = error.errors()[0]
    if problem["type"] == "union_tag_invalid":
        return f"of the kind '{plain(problem['ctx']['tag'])}'"
    if problem["loc"][-1:] == ("version",):
        version = json.loads(text).get("version")
        if isinstance(version, int) and version > KNOWN_VERSION:
            return f"of version {version}"
    return ""


def reason(error: ValidationError) -> str:
    """Return the first thing that is wrong, with its field."""
    problem = error.errors()[0]
    field = ".".join(str(part) for part in problem["loc"])
    return plain(f"{field}: {problem['msg']}" if field else problem["msg"])
