"""The schedule in a record: which row of which table, why, every change of it, and the repetitive group."""

from dataclasses import replace
from datetime import datetime
from typing import Final

from station.board.facts import dive_facts, live
from station.board.state import Lane
from station.dive.facts import DiveFacts
from station.dive.follow import Live, follow
from station.dive.schedule import NoSchedule, Schedule
from station.dive.text import MARK_WORDS, depth_text, hmm
from station.dive.times import MS_PER_MIN
from station.events import DepthDeclared, ScheduleLengthened
from station.moments import MILLISECOND, clock_time, iso
from station.record.document_case import Case
from station.record.document_layout import Row, Table
from station.units import from_fsw

NONE_PRINTED: Final = "none printed"


def schedule_table(case: Case) -> Table:
    """Return the schedule that was in force when the diver reached the surface, and how it came to that."""
    schedule, file = case.dive.schedule, case.setup.tables.file
    fields: dict[str, object] = {
        "table": f"{file.title}; {file.edition}",
        "table_sha256": case.setup.tables.sha256,
        "for_diving": file.for_diving,
        "unit": case.unit,
        "designation": _name(schedule),
        "modification": _modification(case),
        "why": _why(schedule),
    }
    if isinstance(schedule, Schedule):
        fields |= {
            "table_depth": schedule.table_depth,
            "table_time_min": schedule.row_time,
            "no_stop": schedule.no_stop,
            "exposure": schedule.exposure.words,
            "stops_owed": [{"depth": float(stop.depth), "minutes": stop.minutes} for stop in schedule.stops],
        }
    return Table(
        "schedule",
        "Schedule in force",
        {**fields, "trail": _trail(case)},
        "Next deeper and next longer in the table named, which stands at the station in print. trail: "
        "the schedule that was planned for, the one on leaving bottom, and every later change.",
    )


def _name(schedule: Schedule | NoSchedule) -> str:
    return schedule.name if isinstance(schedule, Schedule) else NONE_PRINTED


def _why(schedule: Schedule | NoSchedule) -> str:
    return schedule.why if isinstance(schedule, Schedule) else schedule.reason


def _modification(case: Case) -> str:
    taken = case.lane.lengthened
    if taken is None:
        return "none"
    return f"next longer schedule, cold or arduous dive: {taken.reason} ({taken.by}, {iso(taken.at)})"


def _trail(case: Case) -> list[Row]:
    """Return each schedule with what led to it: the plan, then every moment at which it changed."""
    facts = dive_facts(case.board, case.lane)
    plan = case.lane.plan
    planned = _followed(case, DiveFacts(facts.planned_depth, facts.planned_min), plan.at)
    cause = f"planned: {depth_text(facts.planned_depth, case.unit)} for {plan.time_min} min"
    rows = [_trail_row(plan.at, planned, cause)]
    last = ""
    for moment, words in _turns(case):
        then = _followed(case, _known_by(case, facts, moment), moment)
        if _why(then.schedule) != last:
            rows.append(_trail_row(moment, then, words))
            last = _why(then.schedule)
    return rows


def _turns(case: Case) -> list[tuple[datetime, str]]:
    """Return the moments at which the schedule may change for good, in the order of their times."""
    left = case.mark("left_bottom") or case.mark("reached_surface")
    turns = [(left.at, f"{MARK_WORDS[left.mark]}, bottom time {case.dive.bottom_min} min")] if left else []
    turns += [(one.at, f"depth declared: {one.reason}") for one in case.of_lane(DepthDeclared)]
    turns += [(one.at, f"next longer taken: {one.reason}") for one in case.of_lane(ScheduleLengthened)]
    if left:
        later = (one for one in case.lane.readings if one.at > left.at)
        turns += [(one.at, f"read {one.reading_fsw:g} fsw at {clock_time(one.at)}") for one in later]
    return sorted(turns, key=lambda turn: turn[0])


def _known_by(case: Case, facts: DiveFacts, moment: datetime) -> DiveFacts:
    declared = [one.depth_fsw for one in case.of_lane(DepthDeclared) if one.at <= moment]
    taken = case.lane.lengthened
    return replace(
        facts,
        marks=tuple(mark for mark in facts.marks if mark.at <= moment),
        readings=tuple(one for one in facts.readings if one.at <= moment),
        declared_depth=from_fsw(max(declared), case.unit) if declared else None,
        lengthened=taken is not None and taken.at <= moment,
    )


def _followed(case: Case, facts: DiveFacts, moment: datetime) -> Live:
    return follow(case.setup.tables, facts, moment, case.setup.station.choices)


def _trail_row(at: datetime, then: Live, cause: str) -> Row:
    return {"at": at, "schedule": _name(then.schedule), "cause": cause, "why": _why(then.schedule)}


def repetitive_table(case: Case) -> Table:
    """Return the repetitive group after the dive, and the time since the diver's last one known here."""
    schedule = case.dive.schedule
    group = schedule.group if isinstance(schedule, Schedule) else None
    earlier = _earlier(case)
    fields: dict[str, object] = {"group_after": group or NONE_PRINTED}
    if earlier is None:
        fields["since_last_exposure"] = "none known to this station"
    else:
        fields |= _interval(case, *earlier)
    return Table(
        "repetitive",
        "Repetitive group and time since the last exposure",
        fields,
        "What this journal knows: dives made elsewhere are the diver's to tell. The schedule above "
        "counts this dive's own bottom time, without residual nitrogen time of an earlier one.",
    )


def _earlier(case: Case) -> tuple[Lane, datetime] | None:
    """Return this diver's dive before this one, with the time of surfacing."""
    left = case.mark("left_surface")
    found = [
        (up.at, lane)
        for lane in case.board.lanes.values()
        if lane.plan.diver == case.lane.plan.diver and lane.number != case.lane.number
        if (up := lane.mark("reached_surface")) and left and up.at <= left.at
    ]
    at, lane = max(found, key=lambda one: one[0], default=(None, None))
    return (lane, at) if lane and at else None


def _interval(case: Case, lane: Lane, surfaced: datetime) -> dict[str, object]:
    left = case.mark("left_surface")
    minutes = (left.at - surfaced) // (MS_PER_MIN * MILLISECOND) if left else 0
    before = live(case.board, lane, surfaced).schedule
    group = before.group if isinstance(before, Schedule) else None
    return {
        "since_last_exposure": f"{hmm(minutes)} (hours and minutes, rounded down)",
        "last_exposure": f"lane {lane.number} of this journal, reached surface {iso(surfaced)}",
        "group_then": group or NONE_PRINTED,
    }
