"""What is asked of a lane on its way up: the next mark of the chamber, advice, a dive on paper."""

from dataclasses import dataclass, replace
from datetime import datetime

from station.board.facts import chamber_marks, dive_facts
from station.board.state import Board, Lane
from station.dive.chamber import ChamberLive, ChamberStep
from station.dive.chamber_marks import Option, allowed_chamber_marks, seen_of
from station.dive.facts import DiveFacts
from station.dive.follow import Live, follow
from station.dive.omitted import omitted
from station.dive.schedule import Schedule
from station.dive.times import seconds_down, seconds_up
from station.events import Gas
from station.moments import ms_between
from station.units import from_fsw, to_fsw

OMITTED = "omitted-decompression"
"""The card that a stop left early asks for, and with which a chamber may be entered unplanned."""


@dataclass(frozen=True)
class ChamberNext:
    """The marks of the chamber that may come, the expected one first.

    `due` is when that one is due, None where nothing says when; `in_s` counts down to it, rounded up, and
    `late_s` up from it, rounded down.
    """

    allowed: tuple[Option, ...]
    due: datetime | None
    in_s: int
    late_s: int


def chamber_next(board: Board, lane: Lane, chamber: ChamberLive | None, now: datetime) -> ChamberNext | None:
    """Return the marks of the chamber to come in a lane; None where it is not in use or all is done."""
    chosen = lane.gas is not None and lane.gas.gas == "surface_oxygen"
    unplanned = any(one.card == OMITTED for one in lane.open_cards)
    if lane.over or not (chosen or unplanned) or lane.mark("left_bottom") is None:
        return None
    allowed = allowed_chamber_marks(seen_of(chamber_marks(board, lane, now), now))
    if not allowed:
        return None
    step = chamber.next if chamber else None
    if step is None or allowed[0][0] in ("left_for_chamber", "entered_chamber"):
        return ChamberNext(allowed, None, 0, 0)
    in_order = tuple(sorted(allowed, key=lambda one: not _is(one, step)))
    due = step.due if _is(in_order[0], step) else None
    to_go_ms = 0 if due is None else ms_between(now, due)
    return ChamberNext(in_order, due, seconds_up(max(0, to_go_ms)), seconds_down(max(0, -to_go_ms)))


def _is(option: Option, step: ChamberStep) -> bool:
    """Whether a mark is the one of a step."""
    name, depth = option
    match step.what:
        case "reach" | "move":
            return name == "reached_chamber_depth" and depth == step.depth
        case "on oxygen":
            return name == "on_chamber_oxygen"
        case "air break":
            return name == "off_chamber_oxygen"
        case "leave":
            return name == "left_chamber_depth"
        case _:
            return name == "surfaced_in_chamber"


def omitted_lines(lane: Lane, dive: Live, unit: str, now: datetime) -> tuple[str, ...]:
    """Return the published steps for the deepest stop missed, with a chamber and without one.

    They go by the stop as the tables print it, whatever the altitude of the site.
    """
    missed = max((to_fsw(_listed(dive, line.depth), unit) for line in dive.early), default=0.0)
    up = lane.mark("reached_surface")
    interval_ms = 0 if up is None else max(0, ms_between(up.at, now))
    schedule = dive.schedule if isinstance(dive.schedule, Schedule) else None
    periods = (schedule.chamber_periods if schedule else None) or 0
    found = [
        omitted(missed, interval_ms, chamber=chamber, periods=periods)
        for chamber in ((True, False) if missed else (True,))
    ]
    return tuple(f"{advice.case}: {step.words} ({step.source})" for advice in found for step in advice.steps)


def _listed(dive: Live, depth: float) -> float:
    """Return the depth that the tables print for a stop: at altitude it lies shallower than they say."""
    schedule, site = dive.schedule, dive.site
    printed = (*schedule.stops, *(schedule.oxygen_stops or ())) if isinstance(schedule, Schedule) else ()
    return max(
        (one.depth for one in printed if site.stop_depth(one.depth) == depth), default=depth / site.ratio
    )


def what_if(  # noqa: PLR0913 - what a dive on paper is asked for, each by its name
    board: Board, lane: Lane | None, now: datetime, *, depth_fsw: float, minutes: int, gas: Gas
) -> Live:
    """Return the figures of a dive on paper: the lane's own, with another depth, time and gas.

    It begins when the lane's dive began, now for one that has not, or without a lane; earlier dives and
    altitude are the lane's. A dive in company is reckoned by itself.
    """
    setup = board.setup
    depth = from_fsw(depth_fsw, setup.tables.unit)
    if lane is None:
        facts = DiveFacts(depth, minutes, gas=gas, site_ft=setup.station.altitude_ft)
        return follow(setup.tables, facts, now, setup.station.choices)
    left = lane.mark("left_surface")
    facts = replace(
        dive_facts(board, lane),
        planned_depth=depth,
        planned_min=minutes,
        marks=(),
        readings=(),
        declared_depth=None,
        gas=gas,
        company=(),
    )
    return follow(setup.tables, facts, now if left is None else left.at, setup.station.choices)
