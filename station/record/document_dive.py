"""The dive in a record: times, depths, readings, schedule and the reasons for it, stops, deviations."""

from dataclasses import replace
from datetime import datetime

from station.board.facts import dive_facts, live
from station.board.state import Lane
from station.dive.depth import corrected
from station.dive.facts import DiveFacts
from station.dive.follow import Live, StopLine, follow
from station.dive.schedule import NoSchedule, Schedule
from station.dive.text import MARK_WORDS, depth_text, hmm, mmss
from station.dive.times import MS_PER_MIN, seconds_up
from station.events import DepthDeclared, DepthRead, ScheduleLengthened, SupplyRead, VoiceChecked
from station.moments import MILLISECOND, clock_time, iso, ms_between
from station.record.document_case import Case
from station.record.document_layout import Row, Said, Table
from station.record.words import gauge_name
from station.units import from_fsw, to_fsw

NONE_PRINTED = "none printed"


def dive_tables(case: Case) -> list[Table]:
    """Return the tables of the dive itself."""
    return [
        _times(case),
        _depth(case),
        _supply(case),
        _voice(case),
        _schedule(case),
        _ascent(case),
        _repetitive(case),
    ]


def _times(case: Case) -> Table:
    dive = case.dive
    marks: list[Row] = [
        {
            "at": mark.at,
            "mark": MARK_WORDS[mark.mark],
            "depth_fsw": mark.depth_fsw,
            "by": mark.by,
            "entered": mark.entered if mark.entered != mark.at else None,
        }
        for mark in case.lane.marks
    ]
    return Table(
        "times",
        "Times of the dive",
        {
            "marks": marks,
            "descent_time_min": dive.descent_min,
            "bottom_time_min": dive.bottom_min,
            "time_to_first_stop_s": _said(_to_first_stop_s(case)),
            "total_decompression_time_s": _said(dive.decompression_s),
            "total_time_of_dive_s": _said(dive.dive_s),
        },
        "Descent time and bottom time in whole minutes, rounded up; other times in seconds, rounded up. "
        "Time to first stop is as taken, to the surface where there was no stop. A mark without "
        "`entered` was entered as it was taken.",
    )


def _said(seconds: int | None) -> Said | None:
    return None if seconds is None else Said(seconds, mmss(seconds))


def _to_first_stop_s(case: Case) -> int | None:
    left = case.mark("left_bottom")
    first = case.mark("reached_stop") or case.mark("reached_surface")
    return seconds_up(ms_between(left.at, first.at)) if left and first else None


def _depth(case: Case) -> Table:
    dive = case.dive
    readings: list[Row] = [
        {
            "at": event.at,
            "reading_fsw": event.reading_fsw,
            "corrected_fsw": _corrected_fsw(case, event),
            "by": event.by,
        }
        for event in case.lane.readings
    ]
    declared: list[Row] = [
        {"at": event.at, "depth_fsw": event.depth_fsw, "reason": event.reason, "by": event.by}
        for event in case.of_lane(DepthDeclared)
    ]
    return Table(
        "depth",
        "Depths",
        {
            "readings": readings,
            "declared": declared,
            "deepest_reading_fsw": max((one.reading_fsw for one in case.lane.readings), default=None),
            "maximum_fsw": _fsw(case, dive.depth.depth),
            "maximum_origin": dive.depth.origin,
            "left_bottom_from_fsw": _fsw(case, dive.departure_depth),
        },
        "Readings of the pneumofathometer as read, and with the correction of the tables added. "
        "maximum_fsw is the depth that entered the tables; maximum_origin says where it comes from.",
    )


def _corrected_fsw(case: Case, event: DepthRead) -> float:
    return _fsw(case, corrected(case.setup.tables, from_fsw(event.reading_fsw, case.unit)))


def _fsw(case: Case, depth: float) -> float:
    return round(to_fsw(float(depth), case.unit), 3)


def _supply(case: Case) -> Table:
    readings: list[Row] = [
        {
            "at": event.at,
            "source": event.source,
            "name": gauge_name(case.setup, event.source),
            "pressure_psig": event.pressure_psig,
            "by": event.by,
        }
        for event in case.since_planned(SupplyRead)
    ]
    return Table(
        "supply",
        "Air supply",
        {"breathing_gas": "air from leaving the surface to reaching it", "readings": readings},
        "Every gauge reading of the station from the planning of this dive to its closing.",
    )


def _voice(case: Case) -> Table:
    checks: list[Row] = [
        {"at": event.at, "good": event.good, "by": event.by} for event in case.of_lane(VoiceChecked)
    ]
    return Table("voice", "Voice checks", {"checks": checks})


def _schedule(case: Case) -> Table:
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


def _ascent(case: Case) -> Table:
    dive = case.dive
    deviations: list[Row] = [
        {
            "depth": float(line.depth),
            "missing_s": line.missing_s,
            "what": f"{depth_text(line.depth, case.unit)} stop {_how(line)}, {mmss(line.missing_s)} missing: "
            "omitted decompression",
        }
        for line in dive.early
    ]
    left = case.mark("left_bottom")
    return Table(
        "ascent",
        "Stops and deviations",
        {
            "unit": case.unit,
            "due_at_first_stop_s": _said(dive.to_first_stop_s),
            "stops": [_stop(line) for line in dive.stops] if left else [],
            "deviations": deviations,
        },
        "due_at_first_stop_s: travel at the table's rate from the depth the bottom was left from, to "
        "the surface where no stop was owed. Due times follow the marks before them. Served seconds are "
        "rounded down, missing ones up; minutes are 0 at a stop that was taken without being owed.",
    )


def _how(line: StopLine) -> str:
    return "passed without being marked" if line.state == "passed" else "left early"


def _stop(line: StopLine) -> Row:
    return {
        "depth": float(line.depth),
        "minutes": line.minutes,
        "state": line.state,
        "due_arrive": line.due_arrive,
        "reached": line.reached,
        "starts": line.starts,
        "due_leave": line.due_leave,
        "left": line.left,
        "served_s": line.served_s,
        "missing_s": line.missing_s,
    }


def _repetitive(case: Case) -> Table:
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
