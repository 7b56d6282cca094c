"""What is wrong with the air, by priority: while somebody breathes from a hose, and its tests before that.

High is what is short or low now, and a lost source that none has been brought on for. Medium is what will be
short, falls faster, is not read or is questioned. Low is a test out of date. Station choice.
"""

from collections.abc import Iterator
from datetime import datetime

from station.board.air_figures import AirFigures
from station.board.air_ways import breathing, to_come
from station.board.alarms import Alarm
from station.board.entry_words_air import source_name
from station.board.state import Board, Lane
from station.events import Priority
from station.supply.facts import Kind, air_facts
from station.supply.figures import SupplyFigures

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


def of_air(board: Board, figures: SupplyFigures, air: AirFigures) -> Iterator[Alarm]:
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
            yield Alarm(PRIORITIES[fact.kind], fact.key, fact.words)


def _nobody_drew(board: Board, bank: str) -> bool:
    """Whether every diver was on oxygen when a bank was read last: then it rightly stands above its trend."""
    read = board.latest_supply().get(bank)
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
