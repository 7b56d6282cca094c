"""The ladder's air: what everyone's ascent takes, rung by rung, against what the supply still gives."""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import lru_cache

from station.board.air import AirNow, air_now
from station.board.air_ways import hose, on_bottom, ways_of
from station.board.identity import Is
from station.board.state import Board, Lane
from station.dive.ascent import Ascent
from station.dive.ladder import Air
from station.supply.cover import Store, divers_need_scf, for_divers, stores
from station.supply.need import need_of_all
from station.supply.way import Way, demand
from station.units import to_fsw

Stops = tuple[tuple[float, float], ...]


def ladder_air(board: Board, lane: Lane, now: datetime) -> Air | None:
    """Return the air for a lane's ladder, everyone else in the water with it; None once it has left bottom.

    Whoever is on the bottom as well leaves with the lane; whoever is on the way up goes on.
    """
    on_deck = not lane.over and lane.mark("left_surface") is None
    if not (on_deck or on_bottom(lane)):
        return None
    return _air(Is(air_now(board, now)), lane.number)


@lru_cache(maxsize=32)
def _air(air: Is[AirNow], number: int) -> Air:
    found, board = air.value, air.value.board
    lane, supply = board.lanes[number], board.setup.supply
    divers = [hose(board, one) for one in _everyone(found, lane)]
    need = need_of_all(supply, divers)
    if need.psig is None:
        return Air(lambda _ascent, _leave_by: None, None, found.as_of, 0, 0)
    sources = stores(supply, found.station, need.psig, found.drawn_scfm)
    kept = [one for one in sources if one.role != "reserve"]
    theirs = for_divers(kept)
    return Air(
        ascent_scf=_ascent_scf(found, lane, kept),
        usable_scf=sum(one.scf or 0 for one in theirs),
        as_of=found.as_of,
        bottom_scfm=max(0.0, need.scfm * found.look.faster - sum(one.scfm for one in theirs)),
        reserve_scf=0,
    )


def _everyone(found: AirNow, lane: Lane) -> Sequence[Lane]:
    others = [one for one in found.in_water if one.number != lane.number]
    return (*others, lane)


def _ascent_scf(
    found: AirNow, lane: Lane, kept: Sequence[Store]
) -> Callable[[Ascent, datetime | None], float | None]:
    board = found.board
    unit, supply = board.setup.tables.unit, board.setup.supply

    @lru_cache(maxsize=64)
    def scf(stops: Stops, leave: datetime) -> float | None:
        own = Way(hose(board, lane), stops)
        others = [one for one in found.in_water if one.number != lane.number]
        ways = ways_of(board, others, found.as_of, leave)
        if ways is None:
            return None
        every = [own, *(Way(way.diver, way.stops) for way in ways)]
        return divers_need_scf(kept, demand(supply, every, faster=found.look.faster))

    def asked(ascent: Ascent, leave_by: datetime | None) -> float | None:
        stops = tuple((to_fsw(float(one.depth), unit), float(one.minutes)) for one in ascent.stops)
        return scf(stops, max(found.as_of, leave_by or found.as_of))

    return asked
