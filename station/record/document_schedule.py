"""The schedule in a record: which row of which table, why, and every change of it."""

from station.board.facts import dive_facts
from station.dive.facts import DiveFacts
from station.dive.follow import follow
from station.dive.schedule import NoSchedule, Schedule
from station.dive.text import depth_text, stops_text
from station.dive.trail import trail
from station.dive.trail_lines import Line
from station.moments import iso
from station.record.document_case import Case
from station.record.document_layout import NONE_PRINTED, Row, Table
from station.units import to_fsw


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
        "company_min": case.dive.others_min or None,
        "time_entered_min": case.dive.entered_min,
        "depth_entered_fsw": round(to_fsw(float(case.dive.table_depth), case.unit), 3),
        "figures_of": case.dive.leads or None,
        "designation": _name(schedule),
        "modification": _modification(case),
        "why": _why(schedule),
    }
    fields["exceptional"] = not isinstance(schedule, Schedule) or schedule.exposure.exceptional
    if isinstance(schedule, Schedule):
        fields |= {
            "table_depth": schedule.table_depth,
            "table_time_min": schedule.row_time,
            "no_stop": schedule.no_stop,
            "exposure": schedule.exposure.words,
            "chamber_periods": schedule.chamber_periods if case.dive.gas == "surface_oxygen" else None,
            "stops_owed": [{"depth": float(stop.depth), "minutes": stop.minutes} for stop in schedule.stops],
        }
    return Table(
        "schedule",
        "Schedule in force",
        {**fields, "trail": _trail(case)},
        "Next deeper and next longer in the table named, which stands at the station in print. The time that "
        "entered it is residual nitrogen time, bottom time and delays together. stops_owed: as the table "
        "prints them, whatever the altitude. trail: the plan, and every rule applied since, in the order of "
        "time; stops as depth:minutes, at the site.",
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
    asked = DiveFacts(facts.planned_depth, facts.planned_min, site_ft=facts.site_ft)
    planned = follow(tables, asked, plan.at, choices)
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
