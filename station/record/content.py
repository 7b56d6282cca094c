"""Checks of what a record says, beyond its signatures: is the journal in it whole, and nothing left out?

They need the record alone: no journal, no table file. The marks and the bottom time are held against the
entries; that every other figure follows from them is shown by building the record again from the journal.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any, Final

from pydantic import Field, StringConstraints, ValidationError, model_validator

from station.board.amend import effective
from station.dive.times import bottom_minutes
from station.errors import RecordError, Refusal
from station.events import DiveClosed, Event, LaneNumber, MarkTaken, OperationOpened, Sha256, from_text
from station.files import FileModel
from station.journal.chain import GENESIS, body_digest, link
from station.moments import Moment
from station.record.document_law import unanswered
from station.record.verify import ContentCheck


class _EntryRow(FileModel):
    seq: int
    hash: Sha256
    body: Annotated[str, StringConstraints(min_length=1)] | None = None
    body_sha256: Sha256 | None = None

    @model_validator(mode="after")
    def _one_of_both(self) -> "_EntryRow":
        if (self.body is None) == (self.body_sha256 is None):
            raise ValueError("needs either body or body_sha256")
        return self

    @property
    def digest(self) -> bytes:
        return body_digest(self.body) if self.body is not None else bytes.fromhex(self.body_sha256 or "")


class _Journal(FileModel):
    head: int
    head_hash: Sha256
    entries: Annotated[tuple[_EntryRow, ...], Field(min_length=1)]


class _Dive(FileModel, extra="ignore"):
    lane: LaneNumber


class _Record(FileModel, extra="ignore"):
    drill: bool


class _Mark(FileModel, extra="ignore"):
    at: Moment


class _Times(FileModel, extra="ignore"):
    marks: tuple[_Mark, ...] = ()
    bottom_time_min: int | None = None


class _Content(FileModel, extra="ignore"):
    record: _Record
    dive: _Dive
    times: _Times = _Times()
    journal: _Journal


def check_journal(body: Mapping[str, Any]) -> str | None:
    """Return what is wrong with the journal in a record: a broken chain, an unreadable entry, no closing."""
    try:
        wanted = {name: body.get(name) for name in _Content.model_fields if name in body}
        content = _Content.model_validate_json(json.dumps(wanted, default=str))
    except ValidationError as error:
        return _not_right(error)
    if problem := _broken(content.journal):
        return problem
    try:
        events = [*_events(content.journal)]
    except RecordError as error:
        return error.message
    return _not_of_this_dive(content, events) or _not_the_times(content, events)


def check_complete(body: Mapping[str, Any]) -> str | None:
    """Return the first field that the law asks for and the record neither has nor explains."""
    for asked, key in unanswered(body):
        return f"it has no {key}: {asked.what}, {asked.paragraph}"
    return None


CONTENT_CHECKS: Final[Sequence[ContentCheck]] = (check_journal, check_complete)


def _not_right(error: ValidationError) -> str:
    first = error.errors()[0]
    key = ".".join(str(part + 1) if isinstance(part, int) else part for part in first["loc"])
    return f"its {key} is not right: {first['msg'].lower()}"


def _broken(journal: _Journal) -> str | None:
    previous = GENESIS
    for number, row in enumerate(journal.entries, start=1):
        if row.seq != number:
            return f"its journal is not whole: entry {row.seq} stands where entry {number} belongs"
        previous = link(previous, row.digest)
        if previous.hex() != row.hash:
            return f"its journal was changed: the chain breaks at entry {number}"
    last = journal.entries[-1]
    if journal.head != last.seq:
        return f"its journal ends with entry {last.seq}, but its head is said to be entry {journal.head}"
    if journal.head_hash != last.hash:
        return "the head of its journal is not the hash of its last entry"
    return None


def _events(journal: _Journal) -> Iterator[Event]:
    for row in journal.entries:
        try:
            if row.body is not None:
                yield from_text(row.body)
        except ValidationError:
            raise RecordError(
                f"its journal cannot be read: entry {row.seq} is no entry that this program knows"
            ) from None


def _not_of_this_dive(content: _Content, events: Sequence[Event]) -> str | None:
    opened = next((event for event in events if isinstance(event, OperationOpened)), None)
    if opened is None:
        return "its journal does not begin with the opening of an operation"
    if opened.drill != content.record.drill:
        return (
            f"its journal is of {_kind(drill=opened.drill)}, the record says {_kind(drill=not opened.drill)}"
        )
    lane = content.dive.lane
    if not any(isinstance(event, DiveClosed) and event.lane == lane for event in events):
        return f"its journal has no closing of lane {lane}"
    return None


def _not_the_times(content: _Content, events: Sequence[Event]) -> str | None:
    """Return how the marks, or the bottom time, differ from what the entries amount to."""
    try:
        found = [
            one for one in effective(events) if isinstance(one, MarkTaken) and one.lane == content.dive.lane
        ]
    except Refusal as error:
        return f"its journal cannot be read: {error.message}"
    if sorted(mark.at for mark in found) != sorted(mark.at for mark in content.times.marks):
        return "its times.marks are not the marks of its journal"
    at = {mark.mark: mark.at for mark in found}
    left, leaving = at.get("left_surface"), at.get("left_bottom", at.get("reached_surface"))
    if left is None or leaving is None:
        return None
    stated, minutes = content.times.bottom_time_min, bottom_minutes(left, leaving)
    if stated not in {None, minutes}:
        return f"its bottom time of {stated} min is not that of its marks, which give {minutes} min"
    return None


def _kind(*, drill: bool) -> str:
    return "a drill" if drill else "a real dive"
