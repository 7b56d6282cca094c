"""What the dive rules need to know of one lane by itself, in the unit of the tables."""

from datetime import datetime

from station.board.state import Board, Lane
from station.dive.altitude import arrival, read_at_site
from station.dive.chamber_marks import ChamberMark
from station.dive.depth import corrected
from station.dive.facts import DiveFacts, Mark, Reading
from station.dive.follow import Live
from station.dive.series import Arrival, EarlierDive
from station.dive.site_stops import SiteStop, site_stop
from station.events import ArrivalStated, ChamberMarkTaken, DepthRead, EarlierStated, MarkTaken
from station.setup import Setup
from station.units import from_fsw, to_fsw


def own_facts(board: Board, lane: Lane) -> DiveFacts:
    """Return what a lane says of its dive; earlier dives and divers in company come from elsewhere."""
    setup, unit = board.setup, board.setup.tables.unit
    return DiveFacts(
        planned_depth=from_fsw(lane.plan.depth_fsw, unit),
        planned_min=lane.plan.time_min,
        marks=tuple(dive_mark(mark, unit) for mark in lane.marks),
        readings=tuple(Reading(one.at, reading_at_site(setup, one)) for one in lane.readings),
        declared_depth=from_fsw(lane.declared.depth_fsw, unit) if lane.declared else None,
        lengthened=lane.lengthened is not None,
        gas=lane.gas.gas if lane.gas else "air",
        declared_at=lane.declared.at if lane.declared else None,
        lengthened_at=lane.lengthened.at if lane.lengthened else None,
        gas_at=lane.gas.at if lane.gas else None,
        lane=lane.number,
        diver=board.name(lane.plan.diver),
        by_sum=lane.residual is not None and lane.residual.method == "sum",
        no_group_decided=lane.no_group is not None,
        arrival=None if lane.arrival is None else arrival_of(setup, lane.arrival),
        site_ft=setup.station.altitude_ft,
    )


def dive_mark(event: MarkTaken, unit: str) -> Mark:
    """Return a mark as the dive rules take it."""
    depth = None if event.depth_fsw is None else from_fsw(event.depth_fsw, unit)
    return Mark(event.mark, event.at, depth)


def chamber_mark(event: ChamberMarkTaken) -> ChamberMark:
    """Return a mark of the chamber as the dive rules take it."""
    return ChamberMark(event.mark, event.at, event.depth_fsw)


def reading_at_site(setup: Setup, event: DepthRead) -> float:
    """Return a depth reading, in the unit of the tables, as of a gauge zeroed at the site."""
    unit, station = setup.tables.unit, setup.station
    return read_at_site(from_fsw(event.reading_fsw, unit), station.altitude_ft, station.choices.gauge, unit)


def corrected_fsw(setup: Setup, event: DepthRead) -> float:
    """Return the depth of a reading in fsw: altitude and the band's correction taken in.

    Raises:
        LookUpError: the reading is deeper than the last band of corrections.

    """
    return to_fsw(corrected(setup.tables, reading_at_site(setup, event)), setup.tables.unit)


def held_at(board: Board, dive: Live, depth: float) -> SiteStop | None:
    """Return what a stop at a depth of the site is in the table and on the gauge; None where all are one."""
    return site_stop(board.setup.tables, dive.site, depth, board.setup.station.choices.gauge)


def arrival_of(setup: Setup, event: ArrivalStated) -> Arrival | None:
    """Return the group of an arrival at the site; LookUpError when the tables print none for such a rise."""
    return arrival(setup.tables, event.arrived, setup.station.altitude_ft, event.from_ft)


def stated_dive(event: EarlierStated, unit: str) -> EarlierDive:
    """Return an earlier dive as it was stated."""
    source = f"the dive of record {event.record}" if event.record else "a dive stated by hand"
    return EarlierDive(
        surfaced=event.surfaced,
        group=event.group,
        depth=from_fsw(event.depth_fsw, unit),
        bottom_min=event.bottom_min,
        source=source,
        added_min=event.added_min,
        exceptional=event.exceptional,
    )


def surfaced_at(lane: Lane) -> datetime | None:
    """Return when the dive of a lane ended: at the surface, or out of the chamber where there was one.

    A surface interval that began at the surface would count the time on oxygen under pressure as time at the
    surface; the sources read do not say, and this is the safer reading (station choice).
    """
    up, out = lane.mark("reached_surface"), chamber_left(lane)
    return out if up is not None and out is not None else None if up is None else up.at


def chamber_left(lane: Lane) -> datetime | None:
    """Return when the diver came out of the chamber; None for one who was not in it, or still is."""
    return next((one.at for one in reversed(lane.chamber) if one.mark == "surfaced_in_chamber"), None)
