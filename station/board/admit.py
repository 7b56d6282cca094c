"""May this event be entered now? One rule per kind of event; each refusal says what is missing.

An admitted event changes the board by `fold` alone. Corrections are judged by what they make of the whole
log: a list of entries that could not have been entered in that order is refused.
"""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Any

from station.board.amend import FIXED_EVENTS, amended, effective
from station.board.facts import dive_facts, dive_mark, facts_of, lane_of
from station.board.fold import OUTFIT_EVENTS, fold, follow
from station.board.state import Board, Lane
from station.dive.depth import corrected
from station.dive.order import check_declared_depth, check_mark
from station.errors import LookUpError, Refusal
from station.events import (
    ClockAnchored,
    ClockJumped,
    CrewJoined,
    DepthDeclared,
    DepthRead,
    DiveClosed,
    DivePlanned,
    EntryAmended,
    EntryWithdrawn,
    Event,
    IncidentNoted,
    LaneEntry,
    MarkTaken,
    NoteMade,
    OperationOpened,
    RecordSigned,
    Role,
    ScheduleLengthened,
    SupplyRead,
    VoiceChecked,
)
from station.moments import clock_time
from station.outfit.rules import check as check_outfit
from station.outfit.undo import check_amendment, check_withdrawal, words
from station.outfit.waiting import open_for_dive, open_for_undress
from station.supply.readings import impossible
from station.units import from_fsw

AHEAD = timedelta(seconds=1)
"""Two seats of one machine share a clock; this covers the way of an entry from key to check."""
BY_NOBODY = (OperationOpened, ClockAnchored, ClockJumped, CrewJoined)
IN_THE_WATER = (DepthRead, DepthDeclared, ScheduleLengthened)


def admit(board: Board, event: Event, now: datetime) -> None:
    """Return when the event may be entered on this board now; raise Refusal when not."""
    _check_time(board, event, now)
    _check_person(board, event)
    if isinstance(event, LaneEntry) and not isinstance(event, DivePlanned):
        _check_lane(board, event, now)
    rule = _RULES.get(type(event))
    if rule:
        rule(board, event, now)


def _check_time(board: Board, event: Event, now: datetime) -> None:
    if board.opened is None and not isinstance(event, OperationOpened):
        raise Refusal("no operation is open on this journal yet")
    if event.at > now + AHEAD:
        raise Refusal(f"{clock_time(event.at)} is in the future; it is {clock_time(now)} now")
    if board.opened is not None and event.at < board.opened.at and not isinstance(event, ClockAnchored):
        raise Refusal(f"{clock_time(event.at)} is before the operation was opened")


def _check_person(board: Board, event: Event) -> None:
    if not isinstance(event, BY_NOBODY) and event.by not in board.crew:
        raise Refusal(f"nobody with the id '{event.by}' has joined the crew; enter the crew first")


def _check_lane(board: Board, event: LaneEntry, now: datetime) -> None:
    lane = lane_of(board, event)
    if lane is None:
        raise Refusal(f"there is no lane {event.lane}; plan the dive first")
    if lane.closed and not isinstance(event, RecordSigned):
        raise Refusal(f"lane {lane.number} is closed; what comes after goes on its record as an addendum")
    if isinstance(event, OUTFIT_EVENTS):
        check_outfit(board.setup.outfit, lane.progress, event, facts_of(board, lane, now, event))
    if isinstance(event, IN_THE_WATER) and not lane.in_water:
        raise Refusal(f"lane {lane.number}: the diver is not in the water")


def _need_supervisor(board: Board, event: Event, what: str) -> None:
    if not board.has_role(event.by, "supervisor"):
        raise Refusal(f"{what} is for the supervisor alone; {board.name(event.by)} is not one")


def _opening(board: Board, event: OperationOpened, _now: datetime) -> None:
    if board.opened is not None:
        raise Refusal(
            f"the operation '{board.opened.title}' is already open; {event.title} needs a new journal"
        )


def _planned(board: Board, event: DivePlanned, _now: datetime) -> None:
    expected = len(board.lanes) + 1
    if event.lane != expected:
        raise Refusal(f"the next lane is {expected}, not {event.lane}")
    _need_role(board, event.diver, ("diver", "standby"))
    for tender in event.tenders:
        _need_role(board, tender, ("tender",))
    if event.diver in event.tenders:
        raise Refusal(f"{board.name(event.diver)} cannot tend the own dive")
    if not event.tenders:
        raise Refusal("no tender is named; a diver is tended all the time (29 CFR 1910.425(c)(1))")
    for lane in board.lanes.values():
        if lane.plan.diver == event.diver and not lane.closed and not lane.mark("reached_surface"):
            raise Refusal(f"{board.name(event.diver)} is still in lane {lane.number}")


def _need_role(board: Board, person: str, roles: Sequence[Role]) -> None:
    if not any(board.has_role(person, role) for role in roles):
        raise Refusal(f"{board.name(person)} has not joined the crew as {' or '.join(roles)}")


def _mark(board: Board, event: MarkTaken, now: datetime) -> None:
    lane = board.lanes[event.lane]
    tables = board.setup.tables
    check_mark(tables, dive_facts(board, lane), dive_mark(event, tables.unit), board.setup.station.choices)
    if event.mark != "left_surface":
        return
    missing = open_for_dive(board.setup.outfit, lane.progress, facts_of(board, lane, now, event))
    if missing:
        raise Refusal(f"lane {lane.number}: the dive cannot begin; still open:", missing)


def _depth(board: Board, event: DepthRead, _now: datetime) -> None:
    _since_left_surface(board.lanes[event.lane], event)
    tables = board.setup.tables
    try:
        corrected(tables, from_fsw(event.reading_fsw, tables.unit))
    except LookUpError as error:
        raise Refusal(error.message) from None


def _since_left_surface(lane: Lane, event: LaneEntry) -> None:
    left = lane.mark("left_surface")
    if left is not None and event.at < left.at:
        raise Refusal(f"{clock_time(event.at)} is before the diver left the surface at {clock_time(left.at)}")


def _declared(board: Board, event: DepthDeclared, _now: datetime) -> None:
    _need_supervisor(board, event, "declaring a depth of dive")
    tables, lane = board.setup.tables, board.lanes[event.lane]
    declared = from_fsw(event.depth_fsw, tables.unit)
    check_declared_depth(tables, dive_facts(board, lane), declared, board.setup.station.choices)


def _lengthened(board: Board, event: ScheduleLengthened, _now: datetime) -> None:
    _need_supervisor(board, event, "taking the next longer schedule")
    if board.lanes[event.lane].lengthened:
        raise Refusal(f"lane {event.lane}: the next longer schedule is already taken")


def _voice(board: Board, event: VoiceChecked, _now: datetime) -> None:
    if board.lanes[event.lane].mark("reached_surface"):
        raise Refusal(f"lane {event.lane}: the diver has reached the surface")


def _supply(board: Board, event: SupplyRead, _now: datetime) -> None:
    why = impossible(board.setup.supply, event.source, event.pressure_psig)
    if why:
        raise Refusal(why)


def _remark(board: Board, event: NoteMade | IncidentNoted, _now: datetime) -> None:
    if event.lane is None:
        return
    if event.lane not in board.lanes:
        raise Refusal(f"there is no lane {event.lane}; plan the dive first")
    if board.lanes[event.lane].closed:
        raise Refusal(f"lane {event.lane} is closed; what comes after goes on its record as an addendum")


def _closed(board: Board, event: DiveClosed, _now: datetime) -> None:
    _need_supervisor(board, event, "closing a dive")
    lane = board.lanes[event.lane]
    missing = [] if lane.mark("reached_surface") else ["the mark of reached surface"]
    missing += open_for_undress(board.setup.outfit, lane.progress)
    if board.conditions is None:
        missing.append("the conditions under water and on the surface (29 CFR 1910.423(d)(1)(v))")
    if missing:
        raise Refusal(f"lane {lane.number}: the dive cannot be closed; still open:", missing)


def _signed(board: Board, event: RecordSigned, _now: datetime) -> None:
    lane = board.lanes[event.lane]
    if not lane.closed:
        raise Refusal(f"lane {lane.number} is not closed yet; a record is signed after that")
    if not board.has_role(event.person, event.role):
        raise Refusal(f"{board.name(event.person)} is not {event.role} at this station")


def _withdrawn(board: Board, event: EntryWithdrawn, now: datetime) -> None:
    target = _target(board, event.target)
    _need_author_or_supervisor(board, event, target)
    lane = board.lanes.get(getattr(target, "lane", None) or 0)
    if lane and isinstance(target, OUTFIT_EVENTS):
        facts = facts_of(board, lane, now, event)
        check_withdrawal(board.setup.outfit, _outfit_events(board, lane), target.id, facts)
    _check_outcome(board, event)


def _amended(board: Board, event: EntryAmended, _now: datetime) -> None:
    target = _target(board, event.target)
    _need_author_or_supervisor(board, event, target)
    changed = amended(target, event.changes)
    if changed == target:
        raise Refusal("the amendment changes nothing")
    lane = board.lanes.get(getattr(target, "lane", None) or 0)
    if lane and isinstance(changed, OUTFIT_EVENTS):
        check_amendment(board.setup.outfit, _outfit_events(board, lane), changed)
    _check_outcome(board, event)


def _target(board: Board, event_id: str) -> Event:
    """Return an entry that may be corrected, as it counts now."""
    standing = next((event for event in effective(board.log) if event.id == event_id), None)
    if standing is None:
        known = board.find(event_id)
        raise Refusal("that entry is already withdrawn" if known else f"there is no entry '{event_id}'")
    if isinstance(standing, FIXED_EVENTS):
        raise Refusal(f"an entry of the kind {standing.kind} stays as it is")
    lane = board.lanes.get(getattr(standing, "lane", None) or 0)
    if lane and lane.closed and not isinstance(standing, DiveClosed):
        raise Refusal(f"lane {lane.number} is closed; correct it by an addendum to its record")
    if lane and lane.signatures:
        raise Refusal(f"lane {lane.number} is signed; correct it by an addendum to its record")
    return standing


def _need_author_or_supervisor(board: Board, event: EntryAmended | EntryWithdrawn, target: Event) -> None:
    if event.by != target.by and not board.has_role(event.by, "supervisor"):
        raise Refusal(f"only {board.name(target.by)}, who made it, or a supervisor may correct this entry")


def _outfit_events(board: Board, lane: Lane) -> list[Any]:
    return [
        event
        for event in effective(board.log)
        if isinstance(event, OUTFIT_EVENTS) and event.lane == lane.number
    ]


def _check_outcome(board: Board, correction: Event) -> None:
    """Refuse a correction after which some entry of the log could not have been entered as it was."""
    made = fold(board.setup, [])
    for event in effective((*board.log, correction)):
        if isinstance(event, EntryAmended | EntryWithdrawn):
            continue
        try:
            admit(made, event, max(event.entered, event.at))
        except Refusal as refusal:
            raise Refusal(
                f"then {_words(board, event)} of {clock_time(event.at)} could not stand: {refusal.message}",
                refusal.missing,
            ) from None
        made = follow(made, event)


def _words(board: Board, event: Event) -> str:
    if isinstance(event, OUTFIT_EVENTS):
        return words(board.setup.outfit, event)
    if isinstance(event, MarkTaken):
        return f"the mark '{event.mark.replace('_', ' ')}'"
    return f"the entry {event.kind}"


_RULES: dict[type, Callable[[Board, Any, datetime], None]] = {
    OperationOpened: _opening,
    DivePlanned: _planned,
    MarkTaken: _mark,
    DepthRead: _depth,
    DepthDeclared: _declared,
    ScheduleLengthened: _lengthened,
    VoiceChecked: _voice,
    SupplyRead: _supply,
    NoteMade: _remark,
    IncidentNoted: _remark,
    DiveClosed: _closed,
    RecordSigned: _signed,
    EntryWithdrawn: _withdrawn,
    EntryAmended: _amended,
}
