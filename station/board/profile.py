"""A dive as depth over time, from what was marked and read; nothing is guessed between."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from station.board.lane_facts import corrected_fsw
from station.board.state import Board, Lane


@dataclass(frozen=True)
class DepthPoint:
    """A depth in fsw at a moment: a corrected reading, a stop marked, the surface."""

    at: datetime
    depth_fsw: float


def depth_line(board: Board, lane: Lane) -> tuple[DepthPoint, ...]:
    """Return the points of a dive in the order of their times; none before the diver leaves the surface."""
    left = lane.mark("left_surface")
    if left is None:
        return ()
    found = [*_marked(lane), *_read(board, lane)]
    return tuple(sorted((one for one in found if one.at >= left.at), key=lambda one: one.at))


def _marked(lane: Lane) -> Iterator[DepthPoint]:
    for mark in lane.marks:
        if mark.mark in ("left_surface", "reached_surface"):
            yield DepthPoint(mark.at, 0.0)
        elif mark.depth_fsw is not None:
            yield DepthPoint(mark.at, mark.depth_fsw)


def _read(board: Board, lane: Lane) -> Iterator[DepthPoint]:
    for reading in lane.readings:
        yield DepthPoint(reading.at, corrected_fsw(board.setup, reading))
