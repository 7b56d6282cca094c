"""What the rooms below ask the board about a lane: who is in the water, whose air has been read."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from station.board.earlier import dive_at, earlier_dives, facts_with
from station.board.identity import Is
from station.board.lane_facts import chamber_mark, own_facts, reading_at_site
from station.board.state import Board, Lane
from station.dive.chamber_marks import ChamberMark
from station.dive.doubt import doubtful_depth
from station.dive.facts import DiveFacts
from station.dive.follow import Live, follow
from station.dive.surface import LEAVES_WATER_AT_FSW, TO_SURFACE_RATE
from station.events import DepthRead, Event, LaneEntry, SupplyRead
from station.outfit.views import on_hose_since
from station.outfit.waiting import AIR_READ, Facts, Where
from station.supply.need import OnHose, need_of
from station.supply.readings import Reading
from station.units import show_depth, show_needed_pressure, show_pressure


def where(lane: Lane) -> Where:
    """Return 'before', 'in_water' or 'surfaced', as the outfit rules tell the sides of a dive apart."""
    if lane.in_water:
        return "in_water"
    return "surfaced" if lane.mark("reached_surface") else "before"


def readings(board: Board) -> Mapping[str, Reading]:
    """Return the last reading of every gauge."""
    return {source: Reading(event.pressure_psig, event.at) for source, event in board.latest_supply.items()}


def air_open(board: Board, lane: Lane, now: datetime) -> str | None:
    """Return what is open until the manifold has been read of late and carries this diver as planned.

    None when nothing is. A primary supply for the dive: 46 CFR 197.340(a); from memory, 29 CFR
    1910.425(c)(3). How fresh a reading must be is a station choice. A pressure read is rounded down, one
    needed up.
    """
    supply, units = board.setup.supply, board.setup.station.units
    last: SupplyRead | None = board.latest_supply.get(supply.manifold.id)
    if last is None or now - last.at > timedelta(seconds=board.setup.station.ages.pressure_s):
        return AIR_READ
    depth = lane.plan.depth_fsw
    need = need_of(supply, OnHose(lane.number, depth))
    if need.psig is None:
        return need.pressure_words
    if last.pressure_psig >= need.psig:
        return None
    read = show_pressure(last.pressure_psig, units.pressure)
    needed = f"{show_needed_pressure(need.psig, units.pressure)} needed at {show_depth(depth, units.depth)}"
    return f"{supply.manifold.name} too low: {read}, {needed}"


def on_hose(board: Board, lane: Lane) -> bool:
    """Whether the diver breathes from the hose: from closing the faceplate until undressing begins."""
    outfit = board.setup.outfit
    if lane.called_off:
        return False
    if any(outfit.steps[step].section == "undressing" for step in lane.progress.done):
        return False
    return lane.in_water or on_hose_since(outfit, lane.progress) is not None


def facts_of(board: Board, lane: Lane, now: datetime, event: Event | None = None) -> Facts:
    """Return what the outfit rules need to know of a lane, and of the people behind an entry."""
    by = getattr(event, "by", "")
    checker = getattr(event, "checked_by", None) or ""
    air = air_open(board, lane, now)
    return Facts(
        today=now.date(),
        diver=lane.plan.diver,
        where=where(lane),
        air_pressure_read=air is None,
        air_open=air or "",
        roles=frozenset(board.crew[by].roles) if by in board.crew else frozenset(),
        checker_roles=frozenset(board.crew[checker].roles) if checker in board.crew else frozenset(),
    )


def dive_facts(board: Board, lane: Lane) -> DiveFacts:
    """Return what the dive rules need to know of a lane: its own facts, earlier dives, divers in company."""
    return facts_with(board, lane, earlier_dives(board, lane))


def depth_question(board: Board, lane: Lane, event: DepthRead) -> str | None:
    """Return why a depth should be read again before it is entered; None when nothing speaks against it.

    It may be entered all the same: the question is asked, and no entry is refused for it.
    """
    setup = board.setup
    return doubtful_depth(setup.tables, own_facts(board, lane), reading_at_site(setup, event), event.at)


def live(board: Board, lane: Lane, now: datetime) -> Live:
    """Return every figure of a lane's dive at a moment; those of a diver who is up are worked out once."""
    facts, up = dive_facts(board, lane), lane.mark("reached_surface")
    if up is None or now <= up.at:
        return follow(board.setup.tables, facts, now, board.setup.station.choices)
    return replace(dive_at(Is(board.setup), facts, up.at), now=now)


def live_then(board: Board, lane: Lane, moment: datetime) -> Live:
    """Return the same at a moment that is asked about many times, as the minutes of a ladder are."""
    return dive_at(Is(board.setup), dive_facts(board, lane), moment)


def lane_of(board: Board, event: LaneEntry) -> Lane | None:
    """Return the lane an event belongs to, None when it was never planned."""
    return board.lanes.get(event.lane)


def chamber_marks(board: Board, lane: Lane, now: datetime) -> tuple[ChamberMark, ...]:
    """Return the marks of surface decompression at a moment; the interval begins by itself.

    It begins with leaving the last stop in the water. Where there is none, with passing 40 fsw, reckoned
    back from the surface at the rate from there (station choice); a mark taken by hand goes before both.
    """
    taken = tuple(chamber_mark(one) for one in lane.chamber)
    if (
        lane.gas is None
        or lane.gas.gas != "surface_oxygen"
        or any(one.name == "left_for_chamber" for one in taken)
    ):
        return taken
    dive = live(board, lane, now)
    begun = _left_for_chamber(lane, dive)
    return taken if begun is None else (ChamberMark("left_for_chamber", begun), *taken)


def _left_for_chamber(lane: Lane, dive: Live) -> datetime | None:
    stop, up = lane.mark("left_stop"), lane.mark("reached_surface")
    on_the_way = dive.next_mark is not None and dive.next_mark.name == "reached_surface"
    if stop is not None and (on_the_way or up is not None):
        return stop.at
    return None if up is None else up.at - timedelta(minutes=LEAVES_WATER_AT_FSW / TO_SURFACE_RATE)
