"""Every kind of entry in the trade's words, for the record and for the account of a drill."""

from collections.abc import Callable
from typing import Any

from station.board.fold import OUTFIT_EVENTS
from station.board.state import Board
from station.dive.depth import corrected
from station.dive.text import depth_text, mark_text
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
    IncidentNoted,
    MarkTaken,
    NoteMade,
    OperationOpened,
    RecordSigned,
    ScheduleLengthened,
    SupplyRead,
    VoiceChecked,
)
from station.outfit.undo import words as outfit_words
from station.setup import Setup
from station.units import from_fsw


def event_words(board: Board, event: Event) -> str:
    """Return an entry in words: what was done, seen or read, without its time and author."""
    if isinstance(event, OUTFIT_EVENTS):
        return outfit_words(board.setup.outfit, event)
    return _WORDS[type(event)](board, event)


def gauge_name(setup: Setup, source: str) -> str:
    """Return what the supply file calls a gauge, or its id when the file does not know it."""
    names = {bank.id: bank.name for bank in setup.supply.banks}
    names[setup.supply.manifold.id] = setup.supply.manifold.name
    return names.get(source, source)


def fsw_text(board: Board, depth_fsw: float) -> str:
    """Return a depth of an event in the unit of the tables, exactly as it was entered."""
    unit = board.setup.tables.unit
    return depth_text(from_fsw(depth_fsw, unit), unit)


def _reading(board: Board, event: DepthRead) -> str:
    tables = board.setup.tables
    reading = from_fsw(event.reading_fsw, tables.unit)
    return (
        f"depth read {depth_text(reading, tables.unit)}, "
        f"corrected {depth_text(corrected(tables, reading), tables.unit)}"
    )


def _mark(board: Board, event: MarkTaken) -> str:
    unit = board.setup.tables.unit
    return mark_text(event.mark, None if event.depth_fsw is None else from_fsw(event.depth_fsw, unit), unit)


def _planned(board: Board, event: DivePlanned) -> str:
    depth = fsw_text(board, event.depth_fsw)
    return f"{board.name(event.diver)} to {depth} for {event.time_min} min planned: {event.work}"


def _conditions(_board: Board, event: ConditionsNoted) -> str:
    return (
        f"conditions: visibility {event.visibility}; water {event.water_temperature_c:g} C; "
        f"current {event.current}; surface {event.surface}"
    )


def _amended(board: Board, event: EntryAmended) -> str:
    changes = ", ".join(f"{key} to {value}" for key, value in event.changes.items())
    return f"amended ({_target(board, event.target)}): {changes}; {event.reason}"


def _withdrawn(board: Board, event: EntryWithdrawn) -> str:
    return f"withdrawn ({_target(board, event.target)}): {event.reason}"


def _target(board: Board, event_id: str) -> str:
    found = board.find(event_id)
    return event_words(board, found) if found else event_id


_WORDS: dict[type, Callable[[Board, Any], str]] = {
    OperationOpened: lambda _, event: f"operation opened: {event.title}, {event.place}",
    ClockAnchored: lambda _board, _event: "clock of this machine anchored",
    ClockJumped: lambda _, event: f"machine's clock was set by {event.by_s:+g} s; station time went on",
    CrewJoined: lambda _, event: f"{event.name} joins as {', '.join(event.roles) or 'no longer on duty'}",
    ConditionsNoted: _conditions,
    NoteMade: lambda _, event: f"note: {event.text}",
    IncidentNoted: lambda _, event: f"INCIDENT: {event.text}",
    EntryAmended: _amended,
    EntryWithdrawn: _withdrawn,
    DivePlanned: _planned,
    MarkTaken: _mark,
    DepthRead: _reading,
    DepthDeclared: lambda board, event: (
        f"depth of dive declared as {fsw_text(board, event.depth_fsw)}: {event.reason}"
    ),
    SupplyRead: lambda board, event: f"{gauge_name(board.setup, event.source)} {event.pressure_psig:g} psig",
    VoiceChecked: lambda _, event: "voice check: good" if event.good else "voice check: NOT GOOD",
    ScheduleLengthened: lambda _, event: f"next longer schedule taken: {event.reason}",
    DiveClosed: lambda _, event: f"dive closed; diver: {event.condition_after}",
    RecordSigned: lambda board, event: f"record signed by {board.name(event.person)} as {event.role}",
}
