"""Entries that the law asks for, in words: planning, briefing, what the diver was told, gaps, sickness."""

from collections.abc import Callable, Sequence
from typing import Any

from station.board.state import Board
from station.dive.series import moment_text
from station.events import (
    BriefingDone,
    CasualtyNoted,
    DiverTold,
    GapExplained,
    ObservationEnded,
    PlanningChecked,
    SicknessSuspected,
    SicknessTreated,
)
from station.law.asked import Part, asked_fields, duties
from station.units import show_depth


def item_words(board: Board, part: Part, items: Sequence[str]) -> str:
    """Return the items of a list in words, an id as it stands where the rule files have none such."""
    known = {one.id: one.what for one in duties(board.setup.authorities, part)}
    return "; ".join(known.get(one, one) for one in items)


def asked_words(board: Board, key: str) -> str:
    """Return what a key of the record is asked for; the key itself where no rule file names it."""
    asked = asked_fields(board.setup.authorities)
    return next((f"{one.what} ({key})" for one in asked if key in one.keys), key)


def _briefing(board: Board, event: BriefingDone) -> str:
    people = ", ".join(board.name(one) for one in event.people)
    return f"briefed {people}: {item_words(board, 'briefing', event.items)}"


def _suspected(board: Board, event: SicknessSuspected) -> str:
    depth = show_depth(event.onset_fsw, board.setup.station.units.depth)
    return f"DECOMPRESSION SICKNESS SUSPECTED since {moment_text(event.onset)} at {depth}: {event.symptoms}"


LAW_WORDS: dict[type, Callable[[Board, Any], str]] = {
    PlanningChecked: lambda board, event: f"planned: {item_words(board, 'planning', event.items)}",
    BriefingDone: _briefing,
    DiverTold: lambda board, event: f"after the dive: {item_words(board, 'told', event.items)}",
    ObservationEnded: lambda _board, event: f"observation ended: {event.text}",
    SicknessSuspected: _suspected,
    SicknessTreated: lambda _board, event: f"treated: {event.treatment}; results: {event.results}",
    CasualtyNoted: lambda _board, event: f"{event.what.upper()}: {event.circumstances}",
    GapExplained: lambda board, event: f"not on the record, {asked_words(board, event.key)}: {event.words}",
}
