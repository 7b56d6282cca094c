"""One dive as its record sees it: the journal up to its closing, and the board as it stood then."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from station.board.amend import effective
from station.board.facts import live
from station.board.fold import fold
from station.board.state import Board, Lane
from station.dive.follow import Live
from station.errors import RecordError
from station.events import (
    DiveClosed,
    EntryAmended,
    EntryWithdrawn,
    Event,
    MarkTaken,
    OperationOpened,
    RecordSigned,
)
from station.journal.interface import Entry
from station.setup import Setup

E = TypeVar("E", bound=Event)


@dataclass(frozen=True)
class Case:
    """What a record is made from."""

    setup: Setup
    entries: tuple[Entry, ...]
    board: Board
    lane: Lane
    opened: OperationOpened
    closed: DiveClosed

    @cached_property
    def counted(self) -> tuple[Event, ...]:
        """The events that count, as corrected, in the order in which they were entered."""
        return tuple(effective(self.board.log))

    @cached_property
    def dive(self) -> Live:
        """Every figure of the dive once the diver was at the surface."""
        return live(self.board, self.lane, self.closed.at)

    @property
    def unit(self) -> str:
        """The unit of the tables."""
        return self.setup.tables.unit

    def of_lane(self, kind: type[E]) -> list[E]:
        """Return this lane's events of a kind that count."""
        return [
            event
            for event in self.counted
            if isinstance(event, kind) and getattr(event, "lane", None) == self.lane.number
        ]

    def of_station(self, kind: type[E]) -> list[E]:
        """Return the events of a kind that count and belong to no lane."""
        return [
            event
            for event in self.counted
            if isinstance(event, kind) and getattr(event, "lane", None) is None
        ]

    def since_planned(self, kind: type[E]) -> list[E]:
        """Return the station's events of a kind from the planning of this dive on."""
        return [event for event in self.of_station(kind) if event.at >= self.lane.plan.at]

    def mark(self, name: str) -> MarkTaken | None:
        """Return a mark of this dive, None when it was not taken."""
        return next((mark for mark in self.lane.marks if mark.mark == name), None)


def case_of(entries: Sequence[Entry], lane: int, setup: Setup) -> Case:
    """Return the dive of a lane; RecordError when it is not closed."""
    told = tuple(entries[: _end(entries, lane)])
    board = fold(setup, [entry.event for entry in told])
    found = board.lanes.get(lane)
    if found is None or found.closed is None or board.opened is None:
        raise RecordError(f"lane {lane} is not closed; its record can be written after that")
    return Case(setup, told, board, found, board.opened, found.closed)


def lane_of(event: Event, log: Sequence[Event]) -> int | None:
    """Return the lane an event belongs to, None for the station's; that of a correction is its target's."""
    while isinstance(event, EntryAmended | EntryWithdrawn):
        target = event.target
        found = next((one for one in log if one.id == target), None)
        if found is None:
            return None
        event = found
    return getattr(event, "lane", None)


def _end(entries: Sequence[Entry], lane: int) -> int:
    """Return how many entries the record tells: up to the closing, or to the last correction of it.

    Whatever comes after the first signature is an addendum's business, so the body never changes again.
    """
    closings: set[str] = set()
    end = 0
    for count, entry in enumerate(entries, start=1):
        event = entry.event
        if isinstance(event, RecordSigned) and event.lane == lane:
            break
        closing = isinstance(event, DiveClosed) and event.lane == lane
        if closing or (isinstance(event, EntryAmended | EntryWithdrawn) and event.target in closings):
            closings.add(event.id)
            end = count
    return end
