"""What the rule files in use ask of a lane: fields still missing on its record, duties done, observation."""

from datetime import datetime
from typing import Final, TypeVar

from station.board.facts import chamber_marks, live
from station.board.state import Board, Lane, LawEvent
from station.dive.follow import Live
from station.dive.schedule import Schedule
from station.events import (
    BriefingDone,
    CardOpened,
    CasualtyNoted,
    DiverTold,
    GapExplained,
    ObservationEnded,
    PlanningChecked,
    SicknessSuspected,
    SicknessTreated,
)
from station.law.after import Kept, ObservedNow, kept_until, observation, observed_now
from station.law.asked import PLACE_UNNAMED, Asked, Gap, Part, asked_fields, gaps
from station.law.conditions import Circumstances
from station.units import to_fsw

E = TypeVar("E", bound=LawEvent)

SICKNESS_CARDS: Final = frozenset({"bends-in-water"})
"""Cards that are opened when decompression sickness is suspected: opening one says so (station choice)."""
DUTY_KINDS: Final[dict[Part, type[PlanningChecked | BriefingDone | DiverTold]]] = {
    "planning": PlanningChecked,
    "briefing": BriefingDone,
    "told": DiverTold,
}


def entered(lane: Lane, kind: type[E]) -> list[E]:
    """Return a lane's entries of a kind, in the order in which they were made."""
    return [one for one in lane.law if isinstance(one, kind)]


def circumstances(board: Board, lane: Lane, dive: Live) -> Circumstances:
    """Return what decides which fields are asked of a dive, on the safe side.

    A dive that the tables print no schedule for counts as one outside the no-stop limits, one with oxygen in
    the water as one with mixed gas (station choice: 29 CFR 1910.402 speaks of a gas other than air).
    """
    schedule = dive.schedule
    opened = {one.card for one in lane.cards if isinstance(one, CardOpened)}
    return Circumstances(
        depth_fsw=round(to_fsw(float(dive.depth.depth), board.setup.tables.unit), 3),
        outside_no_stop=not (isinstance(schedule, Schedule) and schedule.no_stop),
        mixed_gas=any(mark.mark == "on_oxygen" for mark in lane.marks),
        sickness=bool(entered(lane, SicknessSuspected) or opened & SICKNESS_CARDS),
        casualty=bool(entered(lane, CasualtyNoted)),
    )


def asked_of(board: Board, lane: Lane, dive: Live) -> tuple[Asked, ...]:
    """Return the fields that the rule files in use ask for on the record of a lane."""
    return asked_fields(board.setup.authorities, circumstances(board, lane, dive))


def lacking(board: Board, lane: Lane) -> frozenset[str]:
    """Return the keys of the record that have no answer so far, whoever asks for them."""
    conditions = ("visibility", "water_temperature_c", "current", "surface")
    missing = {
        "station.place": board.opened is None or board.opened.place == PLACE_UNNAMED,
        "dive.date": lane.mark("left_surface") is None,
        "dive.started": lane.mark("left_surface") is None,
        "dive.finished": lane.mark("reached_surface") is None,
        "times.marks": not lane.marks,
        "times.bottom_time_min": lane.mark("left_bottom") is None,
        "depth.readings": not lane.readings,
        "depth.maximum_fsw": not lane.readings and lane.declared is None,
        **dict.fromkeys((f"conditions.{one}" for one in conditions), board.conditions is None),
        **{f"{part}.items": not entered(lane, kind) for part, kind in DUTY_KINDS.items()},
        "sickness.symptoms": not entered(lane, SicknessSuspected),
        "sickness.treatment": not entered(lane, SicknessTreated),
        "casualty.circumstances": not entered(lane, CasualtyNoted),
    }
    return frozenset(key for key, lacks in missing.items() if lacks)


def open_gaps(board: Board, lane: Lane, at: datetime) -> tuple[Gap, ...]:
    """Return the keys asked for that are missing and not yet explained in words."""
    said = {one.key for one in entered(lane, GapExplained)}
    return tuple(one for one in all_gaps(board, lane, live(board, lane, at)) if one.key not in said)


def all_gaps(board: Board, lane: Lane, dive: Live) -> tuple[Gap, ...]:
    """Return every key asked for that is missing, explained or not."""
    return gaps(asked_of(board, lane, dive), lacking(board, lane))


def out_of_pressure(board: Board, lane: Lane, now: datetime) -> datetime | None:
    """Return when the diver came to the surface, or out of the chamber; None while under pressure."""
    up = lane.mark("reached_surface")
    marks = {one.name: one.at for one in chamber_marks(board, lane, now)}
    if up is None or not {"entered_chamber", "reached_chamber_depth"} & set(marks):
        return None if up is None else up.at
    return marks.get("surfaced_in_chamber")


def observation_of(board: Board, lane: Lane, dive: Live, now: datetime) -> ObservedNow | None:
    """Return the diver's observation after a dive; None before surfacing, where none is asked, or once ended.

    It runs on after the closing of the dive: nobody has to keep a dive open for an hour.
    """
    if lane.mark("reached_surface") is None or entered(lane, ObservationEnded):
        return None
    rule = observation(board.setup.authorities, circumstances(board, lane, dive))
    return None if rule is None else observed_now(rule, out_of_pressure(board, lane, now), now)


def record_kept(board: Board, lane: Lane, dive: Live) -> Kept | None:
    """Return until which day the record of a lane is kept; None when no rule file says."""
    left = lane.mark("left_surface")
    if left is None:
        return None
    return kept_until(board.setup.authorities, left.at.date(), circumstances(board, lane, dive))
