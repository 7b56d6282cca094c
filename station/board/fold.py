"""The fold: one small rule per kind of event, from a board and an event to the next board.

No rule here refuses anything; what may be entered is decided in `admit` before an event gets this far.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any, TypeVar, get_args

from station.board.alarm_states import AlarmEvent, after_closing, after_event
from station.board.amend import effective
from station.board.state import Board, Lane, LawEvent, SourceEvent
from station.events import (
    ArrivalStated,
    BankFilled,
    CardClosed,
    CardDecided,
    CardOpened,
    ChamberMarkTaken,
    ChangedOver,
    ClockAnchored,
    ClockJumped,
    ConditionsNoted,
    CrewJoined,
    DepthDeclared,
    DepthRead,
    DiveCalledOff,
    DiveClosed,
    DivePlanned,
    DiversApart,
    DiversTogether,
    EarlierStated,
    Entry,
    EntryAmended,
    EntryWithdrawn,
    Event,
    GasChosen,
    HoldReleased,
    IncidentNoted,
    ItemInspected,
    MarkTaken,
    NoGroupDecided,
    NoteMade,
    NutMarked,
    OperationOpened,
    PieceDrawn,
    RecordSigned,
    ResidualChosen,
    SampleTaken,
    ScheduleLengthened,
    SourceLost,
    SourceRestored,
    StepDone,
    SupplyRead,
    TestDone,
    VoiceChecked,
)
from station.outfit import apply as apply_outfit
from station.outfit.progress import Progress
from station.setup import Setup

E = TypeVar("E", bound=Entry)
OUTFIT_EVENTS = (PieceDrawn, ItemInspected, StepDone, NutMarked, HoldReleased)


def fold(setup: Setup, log: Sequence[Event]) -> Board:
    """Return the board of a whole log."""
    board = _counted(Board(setup), effective(log))
    return replace(board, log=tuple(log))


def follow(board: Board, event: Event) -> Board:
    """Return the board after one more event."""
    log = (*board.log, event)
    if isinstance(event, EntryAmended | EntryWithdrawn):
        return fold(board.setup, log)
    return replace(_count(board, event), log=log)


def _counted(board: Board, events: Iterable[Event]) -> Board:
    for event in events:
        board = _count(board, event)
    return board


def _count(board: Board, event: Event) -> Board:
    """Return the board with an event that counts as it stands."""
    if isinstance(event, DivePlanned):
        lane = Lane(event.lane, event, Progress())
        return replace(board, lanes={**board.lanes, event.lane: lane})
    if isinstance(event, AlarmEvent):
        return replace(board, alarms=after_event(board.alarms, event))
    number = getattr(event, "lane", None)
    if number is not None and number in board.lanes:
        if isinstance(event, DiveClosed):
            board = replace(board, alarms=after_closing(board.alarms, number, event.at))
        lane = _on_lane(board, board.lanes[number], event)
        return replace(board, lanes={**board.lanes, number: lane})
    return _on_station(board, event)


def _in_time(known: tuple[E, ...], event: E) -> tuple[E, ...]:
    """Return readings in the order of their times: one may be entered late, behind a later one."""
    return tuple(sorted((*known, event), key=lambda one: one.at))


def _deepest(known: DepthDeclared | None, event: DepthDeclared) -> DepthDeclared:
    return event if known is None or event.depth_fsw >= known.depth_fsw else known


def _company(board: Board, event: DiversTogether | DiversApart) -> Board:
    lanes = dict(board.lanes)
    for number in event.lanes:
        if number in lanes:
            lanes[number] = replace(lanes[number], company=_in_time(lanes[number].company, event))
    return replace(board, lanes=lanes)


def _source(board: Board, event: SourceEvent) -> Board:
    return replace(board, sources=_in_time(board.sources, event))


def _test(board: Board, event: TestDone | SampleTaken) -> Board:
    return replace(board, tests=_in_time(board.tests, event))


def _on_station(board: Board, event: Event) -> Board:
    rule = _STATION_RULES.get(type(event))
    return rule(board, event) if rule else board


def _on_lane(board: Board, lane: Lane, event: Event) -> Lane:
    if isinstance(event, OUTFIT_EVENTS):
        return replace(lane, progress=apply_outfit(board.setup.outfit, lane.progress, event))
    rule = _LANE_RULES.get(type(event))
    return rule(lane, event) if rule else lane


_STATION_RULES: dict[type, Callable[[Board, Any], Board]] = {
    OperationOpened: lambda board, event: replace(board, opened=event),
    ClockAnchored: lambda board, event: replace(board, anchors=(*board.anchors, event)),
    ClockJumped: lambda board, event: replace(board, jumps=(*board.jumps, event)),
    CrewJoined: lambda board, event: replace(board, crew={**board.crew, event.person: event}),
    ConditionsNoted: lambda board, event: replace(board, conditions=event),
    SupplyRead: lambda board, event: replace(board, supply=_in_time(board.supply, event)),
    ChangedOver: _source,
    SourceLost: _source,
    SourceRestored: _source,
    BankFilled: _source,
    TestDone: _test,
    SampleTaken: _test,
    NoteMade: lambda board, event: replace(board, remarks=(*board.remarks, event)),
    IncidentNoted: lambda board, event: replace(board, remarks=(*board.remarks, event)),
    DiversTogether: _company,
    DiversApart: _company,
}
_LANE_RULES: dict[type, Callable[[Lane, Any], Lane]] = {
    MarkTaken: lambda lane, event: replace(lane, marks=(*lane.marks, event)),
    DepthRead: lambda lane, event: replace(lane, readings=_in_time(lane.readings, event)),
    DepthDeclared: lambda lane, event: replace(lane, declared=_deepest(lane.declared, event)),
    ScheduleLengthened: lambda lane, event: replace(lane, lengthened=event),
    GasChosen: lambda lane, event: replace(lane, gas=event),
    VoiceChecked: lambda lane, event: replace(lane, voices=_in_time(lane.voices, event)),
    NoteMade: lambda lane, event: replace(lane, remarks=(*lane.remarks, event)),
    IncidentNoted: lambda lane, event: replace(lane, remarks=(*lane.remarks, event)),
    DiveCalledOff: lambda lane, event: replace(lane, called_off=event),
    EarlierStated: lambda lane, event: replace(lane, earlier=(*lane.earlier, event)),
    ResidualChosen: lambda lane, event: replace(lane, residual=event),
    NoGroupDecided: lambda lane, event: replace(lane, no_group=event),
    ArrivalStated: lambda lane, event: replace(lane, arrival=event),
    ChamberMarkTaken: lambda lane, event: replace(lane, chamber=_in_time(lane.chamber, event)),
    CardOpened: lambda lane, event: replace(lane, cards=(*lane.cards, event)),
    CardDecided: lambda lane, event: replace(lane, cards=(*lane.cards, event)),
    CardClosed: lambda lane, event: replace(lane, cards=(*lane.cards, event)),
    **dict.fromkeys(get_args(LawEvent), lambda lane, event: replace(lane, law=(*lane.law, event))),
    DiveClosed: lambda lane, event: replace(lane, closed=event),
    RecordSigned: lambda lane, event: replace(lane, signatures=(*lane.signatures, event)),
}
