"""The board an entry is judged on, and what every rule asks of it: its time, and whose duty it is."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from station.board.facts import facts_of
from station.board.state import Board, Lane
from station.errors import Refusal
from station.events import ClockAnchored, Event, OperationOpened, Role
from station.moments import clock_time
from station.outfit.waiting import Facts

AHEAD = timedelta(seconds=1)
"""Two seats of one machine share a clock; this covers the way of an entry from key to check."""


@dataclass(frozen=True)
class Case:
    """The board an event is judged on, when, and whether that is done afterwards."""

    board: Board
    now: datetime
    afterwards: bool = False

    def facts(self, lane: Lane, event: Event) -> Facts:
        """Return what the outfit rules need to know of a lane and of the people behind the event."""
        facts = facts_of(self.board, lane, self.now, event)
        return replace(facts, air_pressure_read=True) if self.afterwards else facts


def check_time(board: Board, event: Event, now: datetime) -> None:
    """Refuse a time that is still to come, or before the operation was opened."""
    if board.opened is None and not isinstance(event, OperationOpened):
        raise Refusal("no operation is open on this journal yet")
    if event.at > now + AHEAD:
        raise Refusal(f"{clock_time(event.at)} is in the future; it is {clock_time(now)} now")
    if event.entered > now + AHEAD:
        raise Refusal(
            f"it cannot have been entered at {clock_time(event.entered)}, it is {clock_time(now)} now"
        )
    if board.opened is not None and event.at < board.opened.at and not isinstance(event, ClockAnchored):
        raise Refusal(
            f"{clock_time(event.at)} is before the operation was opened at {clock_time(board.opened.at)}"
        )


def need_role(board: Board, event: Event, role: Role, what: str) -> None:
    """Refuse what is for the people of one duty alone."""
    if not board.has_role(event.by, role):
        raise Refusal(f"{what} is for the {role} alone; {board.name(event.by)} is not one")
