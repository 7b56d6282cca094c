"""What the rooms below ask the board about a lane: who is in the water, whose air has been read."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from station.board.state import Board, Lane
from station.dive.facts import DiveFacts, Mark
from station.dive.facts import Reading as DiveReading
from station.dive.follow import Live, follow
from station.events import Event, LaneEntry, MarkTaken, SupplyRead
from station.outfit.views import on_hose_since
from station.outfit.waiting import Facts, Where
from station.supply.need import OnHose, need_of
from station.supply.readings import Reading
from station.units import from_fsw


def where(lane: Lane) -> Where:
    """Return 'before', 'in_water' or 'surfaced', as the outfit rules tell the sides of a dive apart."""
    if lane.in_water:
        return "in_water"
    return "surfaced" if lane.mark("reached_surface") else "before"


def readings(board: Board) -> Mapping[str, Reading]:
    """Return the last reading of every gauge."""
    return {source: Reading(event.pressure_psig, event.at) for source, event in board.latest_supply().items()}


def air_pressure_read(board: Board, lane: Lane, now: datetime) -> bool:
    """Whether the manifold has been read of late and carries this diver at the planned depth.

    46 CFR 197.340 and 29 CFR 1910.430: supply at depth; how fresh a reading must be is a station choice.
    """
    supply = board.setup.supply
    last: SupplyRead | None = board.latest_supply().get(supply.manifold.id)
    if last is None or now - last.at > timedelta(seconds=board.setup.station.ages.pressure_s):
        return False
    need = need_of(supply, OnHose(lane.number, lane.plan.depth_fsw))
    return need.psig is not None and last.pressure_psig >= need.psig


def on_hose(board: Board, lane: Lane) -> bool:
    """Whether the diver breathes from the hose: from closing the faceplate until undressing begins."""
    outfit = board.setup.outfit
    if any(outfit.steps[step].section == "undressing" for step in lane.progress.done):
        return False
    return lane.in_water or on_hose_since(outfit, lane.progress) is not None


def facts_of(board: Board, lane: Lane, now: datetime, event: Event | None = None) -> Facts:
    """Return what the outfit rules need to know of a lane, and of the people behind an entry."""
    by = getattr(event, "by", "")
    checker = getattr(event, "checked_by", None) or ""
    return Facts(
        today=now.date(),
        diver=lane.plan.diver,
        where=where(lane),
        air_pressure_read=air_pressure_read(board, lane, now),
        roles=frozenset(board.crew[by].roles) if by in board.crew else frozenset(),
        checker_roles=frozenset(board.crew[checker].roles) if checker in board.crew else frozenset(),
    )


def dive_facts(board: Board, lane: Lane) -> DiveFacts:
    """Return what the dive rules need to know of a lane, depths in the unit of the tables."""
    unit = board.setup.tables.unit
    return DiveFacts(
        planned_depth=from_fsw(lane.plan.depth_fsw, unit),
        planned_min=lane.plan.time_min,
        marks=tuple(dive_mark(mark, unit) for mark in lane.marks),
        readings=tuple(DiveReading(one.at, from_fsw(one.reading_fsw, unit)) for one in lane.readings),
        declared_depth=from_fsw(lane.declared.depth_fsw, unit) if lane.declared else None,
        lengthened=lane.lengthened is not None,
        gas=lane.gas.gas if lane.gas else "air",
        declared_at=lane.declared.at if lane.declared else None,
        lengthened_at=lane.lengthened.at if lane.lengthened else None,
        gas_at=lane.gas.at if lane.gas else None,
    )


def dive_mark(event: MarkTaken, unit: str) -> Mark:
    """Return a mark as the dive rules take it."""
    depth = None if event.depth_fsw is None else from_fsw(event.depth_fsw, unit)
    return Mark(event.mark, event.at, depth)


def live(board: Board, lane: Lane, now: datetime) -> Live:
    """Return every figure of a lane's dive at a moment."""
    return follow(board.setup.tables, dive_facts(board, lane), now, board.setup.station.choices)


def lane_of(board: Board, event: LaneEntry) -> Lane | None:
    """Return the lane an event belongs to, None when it was never planned."""
    return board.lanes.get(event.lane)
