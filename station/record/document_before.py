"""What lies before a dive, around it and after it, in its record: earlier dives, altitude, company, waits."""

from station.board.after import wait_before
from station.board.earlier import earlier_dives
from station.board.lane_facts import surfaced_at
from station.dive.flying import AIRLINER_CABIN_FT, AltitudeWait
from station.dive.schedule import Schedule
from station.dive.series import EarlierDive, interval_minutes, latest, moment_text
from station.dive.site_stops import site_stops
from station.dive.text import hmm
from station.events import ArrivalStated, DiversApart, DiversTogether, NoGroupDecided, ResidualChosen
from station.moments import iso
from station.record.document_case import Case
from station.record.document_layout import NONE_PRINTED, Row, Table


def before_tables(case: Case) -> list[Table]:
    """Return the tables of earlier dives, altitude and company."""
    return [_repetitive(case), _altitude(case), _company(case)]


def _repetitive(case: Case) -> Table:
    schedule, residual = case.dive.schedule, case.dive.residual
    group = schedule.group if isinstance(schedule, Schedule) else None
    earlier = earlier_dives(case.board, case.lane)
    wait = wait_before(case.board, case.lane)
    return Table(
        "repetitive",
        "Earlier dives, repetitive group, wait before flying",
        {
            **_since(case, latest(earlier)),
            "earlier": [_earlier(one) for one in earlier],
            "reckoned": residual.kind,
            "residual_nitrogen_time_min": residual.minutes,
            "why": residual.words,
            "decided": _decided(case),
            "group_after": group or NONE_PRINTED,
            "interval_begins": surfaced_at(case.lane),
            "wait_before_flying": wait.words if wait else None,
            "flying": _flying(wait) if wait else None,
        },
        "Dives of this journal, and those stated from records or by hand. The interval after this dive "
        "begins at the surface, or on leaving the chamber. wait_before_flying: an airliner "
        f"counts as {AIRLINER_CABIN_FT:,} ft.",
    )


def _flying(wait: AltitudeWait) -> str:
    """Return the wait before flying in a few words."""
    if wait.kind == "wait" and wait.until is not None:
        return f"no flying before {moment_text(wait.until)}"
    return "no wait before flying" if wait.kind == "no wait" else "NO FLYING: no wait is printed"


def _since(case: Case, last: EarlierDive | None) -> Row:
    left = case.mark("left_surface")
    if last is None or left is None:
        return {"since_last_exposure": "none known to this station"}
    minutes = interval_minutes(last.surfaced, left.at)
    return {
        "since_last_exposure": f"{hmm(minutes)} (hours and minutes, rounded down)",
        "last_exposure": f"{last.source}, ended {iso(last.surfaced)}",
        "group_then": last.group or NONE_PRINTED,
    }


def _earlier(one: EarlierDive) -> Row:
    return {
        "source": one.source,
        "surfaced": one.surfaced,
        "group": one.group or NONE_PRINTED,
        "depth_entered": float(one.depth),
        "bottom_time_min": one.bottom_min,
        "added_min": one.added_min,
        "exceptional": one.exceptional,
    }


def _decided(case: Case) -> list[Row]:
    rows: list[Row] = [
        {"at": one.at, "what": f"earlier dives by the {one.method}", "reason": one.reason, "by": one.by}
        for one in case.of_lane(ResidualChosen)
    ]
    rows += [
        {"at": one.at, "what": "goes ahead after a dive without a group", "reason": one.reason, "by": one.by}
        for one in case.of_lane(NoGroupDecided)
    ]
    return rows


def _altitude(case: Case) -> Table:
    site, arrivals = case.dive.site, case.of_lane(ArrivalStated)
    return Table(
        "altitude",
        "Altitude",
        {
            "corrected": site.applies,
            "why": site.words,
            "depth": float(site.depth),
            "equivalent_depth": round(float(site.equivalent), 3),
            "stops": _stops(case) or None,
            "arrived": [
                {"at": one.at, "arrived": one.arrived, "from_ft": one.from_ft, "by": one.by}
                for one in arrivals
            ],
        },
        "The equivalent depth entered the tables; the stops under [ascent] are those of the site. stops: "
        "each as the table prints it, as deep as it is here, and as the gauge reads it there, in its unit.",
    )


def _stops(case: Case) -> list[Row]:
    schedule, gauge = case.dive.schedule, case.setup.station.choices.gauge
    if not isinstance(schedule, Schedule):
        return []
    printed = (stop.depth for stop in schedule.stops_on(case.dive.gas))
    stops = site_stops(case.setup.tables, case.dive.site, printed, gauge)
    return [
        {"table": float(one.printed), "here": float(one.here), "gauge": _depth(one.gauge)} for one in stops
    ]


def _depth(depth: float | None) -> float | None:
    return None if depth is None else float(depth)


def _company(case: Case) -> Table:
    rows: list[Row] = [
        {
            "at": one.at,
            "what": "together" if isinstance(one, DiversTogether) else "apart",
            "lanes": list(one.lanes),
            "reason": one.reason if isinstance(one, DiversApart) else None,
            "by": one.by,
        }
        for one in case.lane.company
    ]
    return Table("company", "Divers who ascend together", {"entries": rows})
