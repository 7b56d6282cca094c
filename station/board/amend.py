"""Corrections: what a log amounts to once its amendments and withdrawals are taken into account.

Nothing is ever erased: the log keeps every entry as it was made, and the effective list is derived.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from station.errors import Refusal
from station.events import (
    EVENT,
    ClockAnchored,
    ClockJumped,
    EntryAmended,
    EntryWithdrawn,
    Event,
    OperationOpened,
    RecordSigned,
)

FIXED_FIELDS = frozenset({"version", "id", "kind", "lane", "entered", "by", "seat"})
FIXED_EVENTS = (OperationOpened, ClockAnchored, ClockJumped, RecordSigned, EntryWithdrawn)


def amended(event: Event, changes: Mapping[str, Any]) -> Event:
    """Return the event with some of its fields changed.

    Raises:
        Refusal: for a field that may not change or does not exist, or a value that cannot stand there.

    """
    if isinstance(event, (*FIXED_EVENTS, EntryAmended)):
        raise Refusal(f"an entry of the kind {event.kind} cannot be amended; make a new entry instead")
    for key in changes:
        if key in FIXED_FIELDS or key not in type(event).model_fields:
            may = ", ".join(name for name in type(event).model_fields if name not in FIXED_FIELDS)
            raise Refusal(f"{key} cannot be amended in {event.kind}; what may change: {may}")
    document = event.model_dump(mode="json", exclude_none=True) | dict(changes)
    try:
        return EVENT.validate_python(document, strict=False)
    except ValidationError as error:
        first = error.errors()[0]
        raise Refusal(f"{'.'.join(map(str, first['loc'][1:]))}: {first['msg'].lower()}") from None


def effective(log: Sequence[Event]) -> list[Event]:
    """Return the events that count, corrected, in the order in which they were entered."""
    withdrawn = {event.target for event in log if isinstance(event, EntryWithdrawn)}
    changes: dict[str, dict[str, Any]] = {}
    for event in log:
        if isinstance(event, EntryAmended) and event.id not in withdrawn:
            changes.setdefault(event.target, {}).update(event.changes)
    return [
        amended(event, changes[event.id]) if event.id in changes else event
        for event in log
        if event.id not in withdrawn
    ]
