"""Entries in words: one line for each kind of event, in the trade's terms, for screens and accounts."""

from collections.abc import Callable
from typing import Any

from station.board.amend import amended
from station.board.entry_words_air import AIR_WORDS
from station.board.entry_words_alarms import ALARM_WORDS
from station.board.entry_words_ascent import ASCENT_WORDS
from station.board.entry_words_law import LAW_WORDS
from station.board.state import Board
from station.dive.text import GAS_WORDS, mark_text
from station.events import (
    ClockAnchored,
    ClockJumped,
    ConditionsNoted,
    CrewJoined,
    DepthDeclared,
    DepthRead,
    DiveClosed,
    DivePlanned,
    EntryAmended,
    EntryWithdrawn,
    Event,
    GasChosen,
    HoldReleased,
    IncidentNoted,
    ItemInspected,
    MarkTaken,
    NoteMade,
    NutMarked,
    OperationOpened,
    PieceDrawn,
    RecordSigned,
    ScheduleLengthened,
    StepDone,
    VoiceChecked,
)
from station.moments import clock_time
from station.outfit.waiting import NUT_WORDS
from station.units import from_fsw, show_depth


def entry_words(board: Board, event: Event) -> str:
    """Return what an entry says, without its time and author; the lane stands first where it has one."""
    lane = getattr(event, "lane", None)
    words = _WORDS[type(event)](board, event)
    return f"lane {lane}: {words}" if lane else words


def _depth(board: Board, depth_fsw: float) -> str:
    return show_depth(depth_fsw, board.setup.station.units.depth)


def _mark(board: Board, event: MarkTaken) -> str:
    unit = board.setup.tables.unit
    return mark_text(event.mark, None if event.depth_fsw is None else from_fsw(event.depth_fsw, unit), unit)


def _item(board: Board, event: ItemInspected) -> str:
    item = board.setup.outfit.items.get(event.item)
    what = f"{item.part}: {item.look}" if item else event.item
    remark = f" ({event.remark})" if event.remark else ""
    return f"{'passed' if event.passed else 'FAILED'} {what}{remark}"


def _step(board: Board, event: StepDone) -> str:
    step = board.setup.outfit.steps.get(event.step)
    second = f", looked at by {board.name(event.checked_by)}" if event.checked_by else ""
    return f"done {step.title if step else event.step}{second}"


def _piece(board: Board, event: PieceDrawn) -> str:
    piece = board.setup.outfit.pieces.get(event.piece)
    stamped = f", stamped {event.stamped}" if event.stamped else ""
    tested = f", tested {event.tested}" if event.tested else ""
    return f"drawn {piece.title if piece else event.piece} {event.number}{stamped}{tested}"


def _hold(board: Board, event: HoldReleased) -> str:
    hold = board.setup.outfit.holds.get(event.hold)
    return f"hold released {hold.title if hold else event.hold} ({event.reason})"


def _target(board: Board, event: EntryAmended | EntryWithdrawn) -> str:
    target = board.find(event.target)
    return entry_words(board, target) if target else event.target


def _amended(board: Board, event: EntryAmended) -> str:
    """Return what stood there, then what holds now, both in the station's words and units."""
    target = board.find(event.target)
    if target is None:
        return f"AMENDED {event.target} ({event.reason})"
    new = amended(target, event.changes)
    now = [f"at {clock_time(new.at)}"] if "at" in event.changes else []
    now += (
        [entry_words(board, new).removeprefix(f"lane {getattr(new, 'lane', None)}: ")]
        if event.changes.keys() - {"at"}
        else []
    )
    was = f" of {clock_time(target.at)}" if "at" in event.changes else ""
    return f"AMENDED {entry_words(board, target)}{was}: now {', '.join(now)} ({event.reason})"


_WORDS: dict[type, Callable[[Board, Any], str]] = {
    OperationOpened: lambda _board, event: f"opened {event.title}{' (DRILL)' if event.drill else ''}",
    ClockAnchored: lambda _board, _event: "clock anchored",
    ClockJumped: lambda _board, event: (
        f"the machine's clock was set by {event.by_s:+g} s; station time went on"
    ),
    CrewJoined: lambda _board, event: f"joined {event.name}: {', '.join(event.roles)}",
    ConditionsNoted: lambda _board, event: (
        f"conditions: visibility {event.visibility}, water {event.water_temperature_c:g} C, "
        f"current {event.current}, surface {event.surface}"
    ),
    NoteMade: lambda _board, event: f"note: {event.text}",
    IncidentNoted: lambda _board, event: f"INCIDENT: {event.text}",
    EntryAmended: _amended,
    EntryWithdrawn: lambda board, event: f"WITHDRAWN {_target(board, event)} ({event.reason})",
    DivePlanned: lambda board, event: (
        f"planned {board.name(event.diver)}, {_depth(board, event.depth_fsw)} for {event.time_min} min: "
        f"{event.work}"
    ),
    PieceDrawn: _piece,
    ItemInspected: _item,
    StepDone: _step,
    NutMarked: lambda _board, event: f"nut {event.stud} {NUT_WORDS[event.state]}",
    HoldReleased: _hold,
    MarkTaken: _mark,
    DepthRead: lambda board, event: f"depth read {_depth(board, event.reading_fsw)}",
    DepthDeclared: lambda board, event: f"depth declared {_depth(board, event.depth_fsw)} ({event.reason})",
    VoiceChecked: lambda _board, event: "voice good" if event.good else "VOICE LOST",
    GasChosen: lambda _board, event: f"going up on {GAS_WORDS[event.gas]} ({event.reason})",
    ScheduleLengthened: lambda _board, event: f"next longer schedule taken ({event.reason})",
    **ASCENT_WORDS,
    **AIR_WORDS,
    **LAW_WORDS,
    **ALARM_WORDS,
    DiveClosed: lambda _board, event: f"closed; diver after the dive: {event.condition_after}",
    RecordSigned: lambda board, event: (
        f"record signed by {board.name(event.person)} as {event.role}"
        + (f", addenda: {event.addenda}" if event.addenda else "")
    ),
}
