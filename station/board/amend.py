"""Corrections: what a log amounts to once its amendments and withdrawals are taken into account.

Nothing is ever erased: the log keeps every entry as it was made, and the effective list is derived.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError
from pydantic_core import to_json

from station.errors import Refusal
from station.events import (
    EVENT,
    AlarmAcknowledged,
    AlarmCleared,
    AlarmRaised,
    ClockAnchored,
    ClockJumped,
    EntryAmended,
    EntryWithdrawn,
    Event,
    OperationOpened,
    RecordSigned,
)

FIXED_FIELDS = frozenset({"version", "id", "kind", "lane", "entered", "by", "seat"})
FIXED_EVENTS = (
    OperationOpened,
    ClockAnchored,
    ClockJumped,
    RecordSigned,
    EntryWithdrawn,
    AlarmRaised,
    AlarmCleared,
    AlarmAcknowledged,
)


def amended(event: Event, changes: Mapping[str, Any]) -> Event:
    """Return the event with some of its fields changed; values as in JSON, None for a field left empty.

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
        # By way of JSON, as from the journal: strict, so that "12" is no number and 5 is no time.
        return EVENT.validate_json(to_json(document), strict=True)
    except ValidationError as error:
        raise Refusal(_reason(error)) from None


def _reason(error: ValidationError) -> str:
    first = error.errors()[0]
    field = ".".join(str(part) for part in first["loc"][1:])
    return f"{field} cannot be amended so: {first['msg'].removeprefix('Value error, ').lower()}"


def effective(log: Sequence[Event]) -> list[Event]:
    """Return the events that count, corrected, in the order in which they were entered.

    Of two amendments of one field the later holds; when it is withdrawn, the earlier holds again.
    """
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
