"""The record of one dive: a pure function from the journal's entries to the bytes that get signed.

document_case.py     the dive as the journal tells it at its closing
document_outfit.py   outfit, inspection, dressing
document_dive.py     times, depths, readings, stops, deviations
document_air.py      sources, tests, readings and sums of the air
document_schedule.py the schedule and the reasons for it
document_before.py   earlier dives, repetitive group, altitude, company
document_chamber.py  oxygen, chamber, emergency cards
document_alarms.py   alarms: raised, acknowledged, cleared
document_journal.py  remarks, corrections, every entry with its place in the chain
document_duties.py   planning, briefing, what the diver was told, observation, sickness
document_law.py      which key answers which paragraph of the law; what is missing, and why
document_layout.py   TOML that people read as well
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from station.caution import CAUTION
from station.events import ConditionsNoted, CrewJoined
from station.journal.interface import Entry
from station.record.document_alarms import alarm_tables
from station.record.document_case import Case, case_of
from station.record.document_dive import dive_tables
from station.record.document_duties import after_dive_tables, before_dive_tables
from station.record.document_journal import journal_tables
from station.record.document_law import law_tables, paragraphs
from station.record.document_layout import Row, Table, comment, table_text, value_text
from station.record.document_outfit import outfit_tables
from station.record.signed import FORMAT
from station.setup import Setup

DRILL_NOTE: Final = "DRILL: an exercise from a script. Nobody was in the water."
_ABOUT: Final = (
    "This is the record of one dive, complete in itself. It is TOML, UTF-8, lines ended by LF; do not edit "
    "it, every byte is signed. `station record verify FILE` checks it, and so does OpenSSH alone. All times "
    "are UTC. Keys that end in _fsw are in feet of seawater, _psig in psi on the gauge, _s in seconds, "
    "_min in minutes; people stand by their id, with their names under [people]."
)


def build(entries: Sequence[Entry], lane: int, setup: Setup) -> bytes:
    """Return the body of a lane's record, before any signature.

    Only the entries up to the lane's closing count (or up to the last correction of the closing before the
    first signature), so the same bytes come out whenever it is built again.

    Raises:
        RecordError: the lane is not closed.

    """
    case = case_of(entries, lane, setup)
    tables = [
        _station(case),
        _operation(case),
        _dive(case),
        _people(case),
        _conditions(case),
        *before_dive_tables(case),
        *outfit_tables(case),
        *dive_tables(case),
        _after(case),
        *after_dive_tables(case),
        *law_tables(case),
        _files(case),
        _signing(case),
        *alarm_tables(case),
        *journal_tables(case),
    ]
    return (_head(case) + "".join(table_text(_with_law(case, table)) for table in tables)).encode()


def _with_law(case: Case, table: Table) -> Table:
    return replace(table, law=paragraphs(case.setup.authorities, table.name))


def _head(case: Case) -> str:
    diver = case.board.name(case.lane.plan.diver)
    title = f"{case.opened.title}, lane {case.lane.number}: {diver}"
    fields: Row = {"drill": case.opened.drill, "title": title, "program": case.opened.program}
    notes = [*([DRILL_NOTE] if case.opened.drill else []), _ABOUT, CAUTION]
    return "\n".join(
        [
            "[record]",
            f"format = {FORMAT}",
            *(f"{key} = {value_text(value)}" for key, value in fields.items()),
            "",
            "\n#\n".join("\n".join(comment(note)) for note in notes) + "\n",
        ]
    )


def _station(case: Case) -> Table:
    station = case.setup.station
    fields: Row = {
        "name": case.opened.station,
        "place": case.opened.place,
        "altitude_ft": station.altitude_ft,
    }
    return Table("station", "Station", fields)


def _operation(case: Case) -> Table:
    return Table("operation", "Operation", {"title": case.opened.title, "opened": case.opened.at})


def _dive(case: Case) -> Table:
    plan = case.lane.plan
    left, up = case.mark("left_surface"), case.mark("reached_surface")
    return Table(
        "dive",
        "Dive",
        {
            "lane": case.lane.number,
            "diver": plan.diver,
            "diver_name": case.board.name(plan.diver),
            "date": left.at.date() if left else None,
            "started": left.at if left else None,
            "finished": up.at if up else None,
            "mode": plan.mode,
            "work": plan.work,
            "planned": plan.at,
            "planned_depth_fsw": plan.depth_fsw,
            "planned_time_min": plan.time_min,
        },
        "A lane is one dive of one diver. Started on leaving the surface, finished on reaching it.",
    )


def _people(case: Case) -> Table:
    team: list[Row] = [
        {
            "id": joined.person,
            "name": joined.name,
            "duties": _duties(case, joined),
            "roles": list(joined.roles),
        }
        for joined in case.board.crew.values()
    ]
    return Table(
        "people",
        "People",
        {"team": team},
        "duties: on this dive. roles: what a person does at this station.",
    )


def _duties(case: Case, joined: CrewJoined) -> list[str]:
    plan = case.lane.plan
    duties = ["diver"] if joined.person == plan.diver else []
    duties += ["tender"] if joined.person in plan.tenders else []
    duties += ["timekeeper"] if "timekeeper" in joined.roles else []
    duties += ["supervisor, person in charge"] if "supervisor" in joined.roles else []
    duties += ["standby"] if "standby" in joined.roles and joined.person != plan.diver else []
    return duties


def _conditions(case: Case) -> Table:
    last = case.board.conditions
    noted = [event for event in case.of_station(ConditionsNoted) if event is not last]
    fields: dict[str, object] = _condition_row(last) if last else {}
    return Table(
        "conditions",
        "Conditions under water and on the surface",
        {**fields, "earlier": [_condition_row(event) for event in noted]},
    )


def _condition_row(event: ConditionsNoted) -> dict[str, object]:
    return {
        "at": event.at,
        "visibility": event.visibility,
        "water_temperature_c": event.water_temperature_c,
        "current": event.current,
        "surface": event.surface,
        "by": event.by,
    }


def _after(case: Case) -> Table:
    closed = case.closed
    fields: Row = {
        "condition": closed.condition_after,
        "remarks": closed.remarks,
        "closed": closed.at,
        "by": closed.by,
    }
    return Table("after", "After the dive", fields)


def _files(case: Case) -> Table:
    used: list[Row] = [
        {"role": use.role, "name": use.name, "sha256": use.sha256} for use in case.opened.files
    ]
    stand_ins: list[Row] = [
        {"role": use.role, "name": use.name, "sha256": use.sha256} for use in case.setup.stand_ins
    ]
    return Table(
        "files",
        "Files in use",
        {"used": used, "stand_ins": stand_ins or None},
        "The files whose rules and figures stand behind this record; the journal keeps their bytes. "
        "stand_ins: shipped ones in the place of files that a journal from an older program does not name.",
    )


def _signing(case: Case) -> Table:
    return Table(
        "signing",
        "Who must sign",
        {"required": list(case.setup.station.signing.required)},
        "A record that ends before all of these have signed is not yet complete.",
    )
