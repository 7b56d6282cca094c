"""The schedule in a record: which row of which table, why, every change of it, and the repetitive group."""

from datetime import datetime
from typing import Final

from station.board.facts import dive_facts, live
from station.board.state import Lane
from station.dive.facts import DiveFacts
from station.dive.follow import follow
from station.dive.schedule import NoSchedule, Schedule
from station.dive.text import depth_text, hmm, stops_text
from station.dive.times import MS_PER_MIN
from station.dive.trail import trail
from station.dive.trail_lines import Line
from station.moments import MILLISECOND, iso
from station.record.document_case import Case
from station.record.document_layout import Row, Table

NONE_PRINTED: Final = "none printed"


def schedule_table(case: Case) -> Table:
    """Return the schedule that was in force when the diver reached the surface, and how it came to that."""
    schedule, file = case.dive.schedule, case.setup.tables.file
    fields: dict[str, object] = {
        "table": f"{file.title}; {file.edition}",
        "table_sha256": case.setup.tables.sha256,
        "for_diving": file.for_diving,
        "unit": case.unit,
        "residual_nitrogen_time_min": case.dive.residual_min,
        "bottom_time_min": case.dive.bottom_min,
        "delays_min": case.dive.delay_min,
        "time_entered_min": case.dive.entered_min,
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
        "Next deeper and next longer in the table named, which stands at the station in print. The time that "
        "entered it is residual nitrogen time, bottom time and delays together. trail: the plan, and every "
        "rule applied since, in the order of time; stops as depth:minutes.",
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
    """Return the plan, and behind it every rule applied, with what it made of the schedule."""
    plan, tables, choices = case.lane.plan, case.setup.tables, case.setup.station.choices
    facts = dive_facts(case.board, case.lane)
    planned = follow(tables, DiveFacts(facts.planned_depth, facts.planned_min), plan.at, choices)
    first = {
        "at": plan.at,
        "rule": "plan",
        "what": f"{depth_text(facts.planned_depth, case.unit)} for {plan.time_min} min",
        "schedule": _name(planned.schedule),
        "source": _why(planned.schedule),
    }
    return [first, *(_trail_row(line) for line in trail(tables, facts, case.closed.at, choices))]


def _trail_row(line: Line) -> Row:
    was, now = line.before, line.after
    return {
        "at": line.at,
        "rule": line.rule,
        "what": line.words,
        "was": was.schedule if was.plan != now.plan else None,
        "stops_were": stops_text(was.stops) if was.plan != now.plan else None,
        "schedule": now.schedule,
        "stops": stops_text(now.stops),
        "time_min": now.entered_min,
        "source": line.source,
    }


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
        "What this journal knows: dives made elsewhere are the diver's to tell. Whether residual nitrogen "
        "time of an earlier dive was counted stands under [schedule].",
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
