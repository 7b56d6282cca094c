"""What the journal says of the sources of air: which is on line, which are lost, which readings hold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from station.board.state import Board, SourceEvent
from station.events import ChangedOver, SourceLost, SourceRestored
from station.supply.model import Supply
from station.supply.readings import Reading


@dataclass(frozen=True)
class Sources:
    """The sources as entered up to a moment.

    `on_line` is the source last changed over to, None before any change-over; `feeding` the one that feeds
    the manifold, by the order of change-over where nothing was entered, None when all are lost; `since` when
    it began to, None where it has from the start. `changed` says when a source was last brought on, shut off,
    lost, restored or filled; `shut` when it was last shut off or lost. `unanswered` is the source that was
    lost on line and in whose place none has been changed over to yet.
    """

    on_line: str | None
    feeding: str | None
    since: datetime | None
    lost: frozenset[str]
    changed: Mapping[str, datetime]
    shut: Mapping[str, datetime]
    unanswered: str | None = None


def sources_at(supply: Supply, events: Sequence[SourceEvent], until: datetime) -> Sources:
    """Return the sources as they stand after everything up to a moment; `events` in the order of times."""
    found = Sources(None, _feeding(supply, None, frozenset()), None, frozenset(), {}, {})
    for event in events:
        if event.at <= until:
            found = _after(supply, found, event)
    return found


def to_change_over_to(supply: Supply, found: Sources) -> tuple[str, ...]:
    """Return the sources that may be brought on line, by the order of change-over the next one first.

    In the place of a lost source that is the one reckoned with already; else what follows the one on line.
    """
    order = [one.id for one in supply.in_order]
    begin = 0
    if found.feeding is not None:
        begin = order.index(found.feeding) + (0 if found.unanswered else 1)
    turned = [*order[begin:], *order[:begin]]
    return tuple(one for one in turned if one not in found.lost and one != found.on_line)


def history(board: Board, found: Sources) -> Mapping[str, tuple[Reading, ...]]:
    """Return the readings of every gauge that still hold, in the order of their times.

    What a source held when it was shut off or lost is not known by readings from before: it must be read
    again to be counted.
    """
    kept: dict[str, list[Reading]] = {}
    for event in board.supply:
        shut = found.shut.get(event.source)
        if shut is None or event.at >= shut:
            kept.setdefault(event.source, []).append(Reading(event.pressure_psig, event.at))
    return {source: tuple(readings) for source, readings in kept.items()}


def _feeding(supply: Supply, last: str | None, lost: frozenset[str]) -> str | None:
    if last is not None and last not in lost:
        return last
    return next((one.id for one in supply.in_order if one.id not in lost), None)


def _after(supply: Supply, found: Sources, event: SourceEvent) -> Sources:
    changed, shut = {**found.changed, event.source: event.at}, dict(found.shut)
    last, lost = found.on_line, found.lost
    if isinstance(event, ChangedOver):
        last = event.source
    elif isinstance(event, SourceLost):
        lost, shut[event.source] = lost | {event.source}, event.at
    elif isinstance(event, SourceRestored):
        lost -= {event.source}
    feeding, since = _feeding(supply, last, lost), found.since
    unanswered = found.unanswered
    if isinstance(event, SourceLost) and event.source == found.feeding:
        unanswered = unanswered or event.source
    elif isinstance(event, ChangedOver) or unanswered not in lost:
        unanswered = None
    if feeding != found.feeding:
        since = event.at
        if found.feeding is not None:
            changed[found.feeding] = shut[found.feeding] = event.at
    return Sources(last, feeding, since, lost, changed, shut, unanswered)
