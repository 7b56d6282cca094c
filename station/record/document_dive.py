"""The dive in a record: times, depths, readings, stops, deviations."""

from station.board.lane_facts import corrected_fsw
from station.dive.follow import StopLine
from station.dive.text import MARK_WORDS, depth_text, mmss
from station.dive.times import seconds_up
from station.dive.trail_lines import Deviation
from station.events import DepthDeclared, DepthRead, VoiceChecked
from station.moments import ms_between
from station.record.document_air import air_table
from station.record.document_before import before_tables
from station.record.document_case import Case
from station.record.document_chamber import chamber_tables
from station.record.document_layout import Row, Said, Table
from station.record.document_schedule import schedule_table
from station.units import to_fsw


def dive_tables(case: Case) -> list[Table]:
    """Return the tables of the dive itself."""
    return [
        _times(case),
        _depth(case),
        air_table(case),
        _voice(case),
        schedule_table(case),
        _ascent(case),
        *chamber_tables(case),
        *before_tables(case),
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
    return round(corrected_fsw(case.setup, event), 3)


def _fsw(case: Case, depth: float) -> float:
    return round(to_fsw(float(depth), case.unit), 3)


def _voice(case: Case) -> Table:
    checks: list[Row] = [
        {"at": event.at, "good": event.good, "by": event.by} for event in case.of_lane(VoiceChecked)
    ]
    return Table("voice", "Voice checks", {"checks": checks})


def _ascent(case: Case) -> Table:
    dive = case.dive
    left = case.mark("left_bottom")
    return Table(
        "ascent",
        "Stops and deviations",
        {
            "unit": case.unit,
            "due_at_first_stop_s": _said(dive.to_first_stop_s),
            "stops": [_stop(line) for line in dive.stops] if left else [],
            "delays": [_delay(one) for one in dive.deviations],
            "omitted": [_omitted(case, line) for line in dive.early],
        },
        "due_at_first_stop_s: travel at the table's rate from the depth the bottom was left from, to "
        "the surface where no stop was owed. Due times follow the marks before them. Served seconds are "
        "rounded down, missing ones up; minutes are 0 at a stop that was taken without being owed.",
    )


def _delay(one: Deviation) -> Row:
    return {
        "where": one.kind,
        "from_depth": float(one.from_depth),
        "to_depth": float(one.to_depth),
        "due": one.due,
        "delay_s": seconds_up(one.delay_ms),
        "counted_min": one.minutes,
        "effect": one.effect,
    }


def _omitted(case: Case, line: StopLine) -> Row:
    what = f"{depth_text(line.depth, case.unit)} stop {_how(line)}, {mmss(line.missing_s)} missing"
    return {"depth": float(line.depth), "missing_s": line.missing_s, "what": what}


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
        "on_oxygen": line.on_oxygen or None,
    }
