"""Dives for the benchmarks: the shipped drill, played once, and set down again in other lanes and hours."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import Any
from uuid import uuid4

from station.board.facts import live
from station.board.fold import fold
from station.board.state import Board
from station.clock import HandClock
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.events import DivePlanned, Event, from_text, to_text
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.setup import Setup, load_setup
from station.shipped import shipped

DIVERS = 10


@dataclass(frozen=True)
class Pattern:
    """A played drill: its setup, the entries that open the operation, and those of the one dive in it."""

    setup: Setup
    opening: tuple[Event, ...]
    dive: tuple[Event, ...]


@cache
def pattern() -> Pattern:
    """Return the gate survey as it is entered from its opening to the closing of the dive."""
    scenario = load_scenario(shipped("demo") / "ossary-dam" / "gate-survey.toml")
    setup, clock = load_setup(scenario.station_path), HandClock(scenario.file.start)
    watch = begin_on(MemoryJournal(), setup, clock, title="A day of dives", program="benchmark", drill=True)
    opened = watch.head
    player = Player(watch, scenario)
    while not player.finished:
        player.play_next(clock)
    events = [entry.event for entry in watch.entries]
    return Pattern(setup, tuple(events[:opened]), tuple(events[opened:]))


def shifted(events: Iterable[Event], later: timedelta, lane: int | None = None) -> Iterator[Event]:
    """Yield entries again that much later, with ids of their own and, where they name a lane, in another.

    The lanes go round the divers, so that each has dived before when his turn comes again.
    """
    for event in events:
        changes: dict[str, Any] = {
            "id": uuid4().hex,
            "at": event.at + later,
            "entered": event.entered + later,
        }
        if lane is not None and hasattr(event, "lane"):
            changes["lane"] = lane
            if isinstance(event, DivePlanned):
                changes["diver"] = f"diver-{lane % DIVERS}"
        yield event.model_copy(update=changes)


def in_order(events: Iterable[Event]) -> list[Event]:
    """Return the entries of several lanes as one journal has them."""
    return sorted(events, key=lambda event: event.entered)


def operation(dives: int, apart: timedelta) -> list[Event]:
    """Return the entries of one operation: so many dives, each begun `apart` from the one before."""
    kept = pattern()
    events = list(kept.opening)
    for dive in range(dives):
        events += shifted(kept.dive, dive * apart, dive + 1)
    return in_order(events)


def lines_of(events: Iterable[Event]) -> list[str]:
    """Return entries as the lines a journal keeps."""
    return [to_text(event) for event in events]


def replay(lines: Iterable[str]) -> Board:
    """Read the lines of a journal, fold them, and work out every lane's plan at each of its marks."""
    board = fold(pattern().setup, [from_text(one) for one in lines])
    for lane in board.lanes.values():
        for mark in lane.marks:
            live(board, lane, mark.at)
    return board
