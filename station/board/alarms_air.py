"""What is wrong with the air, by priority: while somebody breathes from a hose, and its tests before that.

High is what is short or low now, and a lost source that none has been brought on for. Medium is what will be
short, falls faster, is not read or is questioned. Low is a test out of date. Station choice.
"""

from collections.abc import Iterator
from datetime import datetime

from station.board.air_figures import AirFigures
from station.board.air_ways import breathing, present_depth_fsw, to_come
from station.board.alarms import Alarm
from station.board.entry_words_air import source_name
from station.board.state import Board, Lane
from station.dive.text import mmss
from station.events import Priority
from station.moments import age_s
from station.supply.facts import Kind, air_facts
from station.supply.figures import SupplyFigures
from station.units import show_depth

OXYGEN_MARKS = ("on_oxygen", "off_oxygen", "oxygen_lost")
PRIORITIES: dict[Kind, Priority] = {
    "short now": "high",
    "below minimum": "high",
    "short of plan": "medium",
    "short without primary": "medium",
    "falling faster": "medium",
    "silent": "medium",
    "questioned": "medium",
    "out of date": "low",
}


REST = frozenset({"reached_stop", "held"})
"""Marks after which the diver is known to be where the mark says."""
SHORT: frozenset[Kind] = frozenset({"short now", "short of plan", "short without primary"})


def of_air(board: Board, figures: SupplyFigures, air: AirFigures, now: datetime) -> Iterator[Alarm]:
    """Yield the alarms of the air supply."""
    if to_come(board):
        for failed in air.failed:
            yield Alarm("high", f"failed {failed.id}", failed.words)
    if figures.divers:
        yield from _lost(board, air)
        if figures.needed_psig is None:
            words = f"no minimum manifold pressure is known here: {figures.pressure_words}"
            yield Alarm("high", "manifold minimum", words)
    for fact in air_facts(figures, air.look, air.sums, air.ages):
        if fact.kind == "questioned" and _nobody_drew(board, fact.key.removesuffix(" questioned")):
            continue
        if to_come(board) if fact.kind == "out of date" else figures.divers:
            by = _by_last_depth(board, now) if fact.kind in SHORT else ""
            yield Alarm(PRIORITIES[fact.kind], fact.key, f"{by}{fact.words}")


def _by_last_depth(board: Board, now: datetime) -> str:
    """Return by which depths the air of divers moving up is reckoned, and how old they are; "" for nobody.

    A diver who is moving up is charged at the depth last known until another is read, since nobody knows that
    the diver is moving: no figure is lowered by what should be (station choice).
    """
    told = []
    for lane in breathing(board):
        last = lane.marks[-1].mark if lane.marks else None
        moves = lane.in_water and lane.mark("left_bottom") is not None and last not in REST
        known = [one.at for one in lane.readings] + [
            one.at for one in lane.marks if one.depth_fsw is not None
        ]
        if moves and known:
            unit = board.setup.station.units.depth
            depth, age = show_depth(present_depth_fsw(board, lane), unit), mmss(age_s(max(known), now))
            told.append(f"lane {lane.number}'s last depth, {depth} {age} ago")
    return f"by {' and '.join(told)} (a new reading may clear this): " if told else ""


def _nobody_drew(board: Board, bank: str) -> bool:
    """Whether every diver was on oxygen when a bank was read last: then it rightly stands above its trend."""
    read = board.latest_supply.get(bank)
    lanes = breathing(board)
    return read is not None and bool(lanes) and all(_on_oxygen(lane, read.at) for lane in lanes)


def _on_oxygen(lane: Lane, at: datetime) -> bool:
    names = [one.mark for one in lane.marks if one.mark in OXYGEN_MARKS and one.at <= at]
    return names[-1:] == ["on_oxygen"]


def _lost(board: Board, air: AirFigures) -> Iterator[Alarm]:
    """Yield the lost sources: to be answered by a change-over first, then by the end of the dive."""
    for source in sorted(air.lost):
        name = source_name(board, source)
        if source != air.unanswered:
            yield Alarm("medium", f"{source} lost", f"{name} LOST: end the dive on what is left")
        elif air.on_line is None:
            yield Alarm("high", f"{source} lost", f"{name} LOST and no source is left to change over to")
        else:
            words = f"{name} LOST: change over to {source_name(board, air.on_line)}, then mark it"
            yield Alarm("high", f"{source} lost", words)
