"""Entries around the ascent in words: earlier dives, altitude, divers together, the chamber, cards."""

from collections.abc import Callable
from typing import Any

from station.board.state import Board
from station.dive.chamber_marks import chamber_mark_text
from station.dive.series import moment_text
from station.events import (
    ArrivalStated,
    CardClosed,
    CardDecided,
    CardOpened,
    ChamberMarkTaken,
    DiveCalledOff,
    DiversApart,
    DiversTogether,
    EarlierStated,
    NoGroupDecided,
    ResidualChosen,
)
from station.units import show_depth


def _earlier(board: Board, event: EarlierStated) -> str:
    depth = show_depth(event.depth_fsw, board.setup.station.units.depth)
    source = f"record {event.record}" if event.record else "by hand"
    return (
        f"earlier dive, {source}: {depth} for {event.bottom_min + event.added_min} min, surfaced "
        f"{moment_text(event.surfaced)}, group {event.group or 'none'} ({event.reason})"
    )


def _title(board: Board, card: str) -> str:
    found = board.setup.cards.card(card)
    return found.title if found else card


def _lanes(event: DiversTogether | DiversApart) -> str:
    return ", ".join(str(number) for number in event.lanes)


ASCENT_WORDS: dict[type, Callable[[Board, Any], str]] = {
    DiveCalledOff: lambda _board, event: f"dive called off ({event.reason})",
    EarlierStated: _earlier,
    ResidualChosen: lambda _board, event: (
        f"earlier dives by the {'table' if event.method == 'table' else 'sum of the bottom times'} "
        f"({event.reason})"
    ),
    NoGroupDecided: lambda _board, event: f"goes ahead after a dive without a group ({event.reason})",
    ArrivalStated: lambda _board, event: (
        f"arrived at the site {moment_text(event.arrived)} from {event.from_ft:g} ft"
    ),
    DiversTogether: lambda _board, event: f"lanes {_lanes(event)} ascend together",
    DiversApart: lambda _board, event: f"lanes {_lanes(event)} no longer together ({event.reason})",
    ChamberMarkTaken: lambda _board, event: chamber_mark_text(event.mark, event.depth_fsw),
    CardOpened: lambda board, event: f"CARD OPENED: {_title(board, event.card)}",
    CardDecided: lambda board, event: f"card {_title(board, event.card)}: decided: {event.text}",
    CardClosed: lambda board, event: f"card {_title(board, event.card)} closed: {event.text}",
}
