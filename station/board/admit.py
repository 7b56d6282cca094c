"""May this event be entered now? Facts are judged by `rules`, corrections by what they make of the log.

An admitted event changes the board by `fold` alone. After a correction every other entry must still be one
that could have been made in its place; a correction that would leave one without its ground is refused, and
names it.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from station.board.amend import FIXED_EVENTS, amended, effective
from station.board.case import Case, check_time
from station.board.facts import facts_of
from station.board.fold import OUTFIT_EVENTS, fold, follow
from station.board.rules import check
from station.board.state import Board, Lane
from station.errors import Refusal
from station.events import (
    DepthDeclared,
    DiveClosed,
    EntryAmended,
    EntryWithdrawn,
    Event,
    MarkTaken,
)
from station.moments import clock_time
from station.outfit.undo import check_amendment, check_withdrawal, words


def admit(board: Board, event: Event, now: datetime) -> None:
    """Return when the event may be entered on this board now; raise Refusal when not."""
    if board.find(event.id) is not None:
        raise Refusal("this entry is on the journal already")
    check(Case(board, now), event)
    if isinstance(event, EntryWithdrawn):
        _check_withdrawn(board, event, now)
    elif isinstance(event, EntryAmended):
        _check_amended(board, event, now)


def _check_withdrawn(board: Board, event: EntryWithdrawn, now: datetime) -> None:
    target = _target(board, event)
    lane = _lane_touched(board, target)
    if lane and isinstance(target, OUTFIT_EVENTS):
        facts = facts_of(board, lane, now, event)
        check_withdrawal(board.setup.outfit, _outfit_events(board, lane), target.id, facts)
    _check_outcome(board, event)


def _check_amended(board: Board, event: EntryAmended, now: datetime) -> None:
    target = _target(board, event)
    changed = amended(target, event.changes)
    if changed == target:
        raise Refusal("the amendment changes nothing")
    check_time(board, changed.model_copy(update={"entered": now}), now)
    lane = _lane_touched(board, target)
    if lane and isinstance(changed, OUTFIT_EVENTS):
        check_amendment(board.setup.outfit, _outfit_events(board, lane), changed)
    _check_outcome(board, event)


def _target(board: Board, correction: EntryAmended | EntryWithdrawn) -> Event:
    """Return the entry to be corrected, as it counts now; Refusal when it, or this person, may not."""
    standing = next((one for one in effective(board.log) if one.id == correction.target), None)
    if standing is None:
        known = board.find(correction.target)
        raise Refusal(
            "that entry is already withdrawn" if known else f"there is no entry '{correction.target}'"
        )
    if isinstance(standing, FIXED_EVENTS):
        raise Refusal(f"an entry of the kind {standing.kind} stays as it is")
    lane = _lane_touched(board, standing)
    if lane and lane.signatures:
        raise Refusal(f"lane {lane.number} is signed; correct it by an addendum to its record")
    if lane and lane.closed and _corrected(standing) != lane.closed.id:
        raise Refusal(f"lane {lane.number} is closed; correct it by an addendum to its record")
    if correction.by != standing.by and not board.has_role(correction.by, "supervisor"):
        raise Refusal(f"only {board.name(standing.by)}, who made it, or a supervisor may correct this entry")
    return standing


def _corrected(event: Event) -> str:
    """Return the id of the entry an amendment is about; of any other entry, its own."""
    return event.target if isinstance(event, EntryAmended) else event.id


def _lane_touched(board: Board, event: Event) -> Lane | None:
    """Return the lane of an entry, or of the entry that an amendment is about."""
    about = board.find(_corrected(event)) or event
    return board.lanes.get(getattr(about, "lane", None) or 0)


def _outfit_events(board: Board, lane: Lane) -> list[Any]:
    return [
        event
        for event in effective(board.log)
        if isinstance(event, OUTFIT_EVENTS) and event.lane == lane.number
    ]


def _check_outcome(board: Board, correction: EntryAmended | EntryWithdrawn) -> None:
    """Refuse a correction that takes the ground from an entry which had it before."""
    after = _without_ground(board, (*board.log, correction), correction)
    if not after:
        return
    before = _without_ground(board, board.log, None)
    for event, refusal in after.values():
        if event.id in before:
            continue
        if event.id == correction.target:
            raise refusal
        raise Refusal(
            f"then {_words(board, event)} of {clock_time(event.at)} could not stand: {refusal.message}",
            refusal.missing,
        )


def _without_ground(
    board: Board, log: Sequence[Event], correction: EntryAmended | EntryWithdrawn | None
) -> dict[str, tuple[Event, Refusal]]:
    """Go through a log as it counts; return the entries that could not have been made in their places."""
    made = fold(board.setup, [])
    fallen: dict[str, tuple[Event, Refusal]] = {}
    for event in effective(log):
        if isinstance(event, EntryAmended | EntryWithdrawn):
            continue
        afterwards = not _judged_anew(event, correction)
        try:
            check(Case(made, max(event.entered, event.at), afterwards), event)
        except Refusal as refusal:
            fallen[event.id] = (event, refusal)
        made = follow(made, event)
    return fallen


def _judged_anew(event: Event, correction: EntryAmended | EntryWithdrawn | None) -> bool:
    """Say whether an amendment gives a mark or a declared depth another meaning, not only another time."""
    return (
        isinstance(correction, EntryAmended)
        and correction.target == event.id
        and isinstance(event, MarkTaken | DepthDeclared)
        and bool({"mark", "depth_fsw"} & set(correction.changes))
    )


def _words(board: Board, event: Event) -> str:
    if isinstance(event, OUTFIT_EVENTS):
        return words(board.setup.outfit, event)
    if isinstance(event, MarkTaken):
        depth = "" if event.depth_fsw is None else f" {event.depth_fsw:g} fsw"
        return f"the mark '{event.mark.replace('_', ' ')}{depth}'"
    if isinstance(event, DiveClosed):
        return f"the closing of lane {event.lane}"
    return f"the entry {event.kind}"
