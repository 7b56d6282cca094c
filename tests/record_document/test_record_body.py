"""The body of a record: every field of the shipped drill, and what else it must tell.

Expected figures are those of the scenario file, worked out there by hand from USN Rev 7, Table 9-9.
"""

import hashlib
import tomllib
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

import pytest

from station.errors import RecordError
from station.events import (
    DepthDeclared,
    DiveClosed,
    DivePlanned,
    EntryAmended,
    EntryWithdrawn,
    GasChosen,
    IncidentNoted,
    MarkTaken,
    NoteMade,
    RecordSigned,
    ScheduleLengthened,
)
from station.law.asked import asked_fields
from station.record.document_law import unanswered
from station.record.signed import read_head
from station.setup import load_setup

if TYPE_CHECKING:
    from tests.record_document.conftest import Begin, Drill


def at(hours: int, minutes: int, seconds: int = 0, day: int = 4) -> datetime:
    return datetime(2031, 5, day, hours, minutes, seconds, tzinfo=UTC)


def read(body: bytes) -> dict[str, Any]:
    return tomllib.loads(body.decode("utf-8"))


@pytest.fixture(scope="session")
def body(survey_body: bytes) -> dict[str, Any]:
    return read(survey_body)


def test_the_first_lines_are_those_of_every_record(survey_body: bytes) -> None:
    assert survey_body.startswith(b"[record]\nformat = 1\ndrill = true\n")
    assert survey_body.endswith(b"\n")
    assert b"\r" not in survey_body
    assert b"# DRILL: an exercise from a script. Nobody was in the water.\n" in survey_body
    assert b"This program advises; the supervisor decides." in survey_body


def test_the_head_is_what_signatures_need(body: dict[str, Any]) -> None:
    head = read_head(body)
    assert head.signing.required == ("timekeeper", "supervisor")
    assert head.record.drill


LAW: dict[str, dict[str, Any]] = {
    "(1)(i)": {
        "people.team": [
            ("Ines Oyelaran", ["supervisor, person in charge"]),
            ("Tam Belcourt", ["timekeeper"]),
            ("Rua Kessing", ["tender"]),
            ("Mikko Alder", ["tender"]),
            ("Jona Strand", ["diver"]),
            ("Wyn Farrow", ["standby"]),
        ]
    },
    "(1)(ii)": {
        "dive.date": date(2031, 5, 4),
        "dive.started": at(7, 30),
        "dive.finished": at(8, 34, 20),
        "station.place": "Lake Ossary, upstream face of the dam, gate 2",
    },
    "(1)(iii)": {"dive.mode": "surface-supplied air, standard deep-sea outfit"},
    "(1)(iv)": {"dive.work": "Survey of the lower seal of gate 2, photographs, clearing of silt by hand"},
    "(1)(v)": {
        "conditions.visibility": "3 ft, silt when disturbed",
        "conditions.water_temperature_c": 9.5,
        "conditions.current": "none with the gate shut",
        "conditions.surface": "calm, light rain",
    },
    "(1)(vi)": {"depth.maximum_fsw": 107.0, "times.bottom_time_min": 34},
    "(2)(i)": {
        "times.marks": [
            (at(7, 30), "left surface", None),
            (at(7, 32, 10), "reached bottom", None),
            (at(8, 3, 40), "left bottom", None),
            (at(8, 6, 34), "reached stop", 20.0),
            (at(8, 33, 34), "left stop", 20.0),
            (at(8, 34, 20), "reached surface", None),
        ],
        "depth.readings": [
            (62.0, 63.0),
            (105.0, 107.0),
            (103.0, 105.0),
            (104.0, 106.0),
            (104.0, 106.0),
            (105.0, 107.0),
            (105.0, 107.0),
            (19.0, 20.0),
            (19.0, 20.0),
        ],
        "supply.breathing_gas": "air",
    },
    "(2)(ii)": {
        "schedule.table": "Air tables, U.S. Navy Revision 7; Revision 7, 1 December 2016",
        "schedule.designation": "110/35",
        "schedule.modification": "none",
    },
    "(2)(iii)": {
        "repetitive.since_last_exposure": "none known to this station",
        "repetitive.group_after": "M",
    },
}
ROWS = {
    "people.team": ("name", "duties"),
    "times.marks": ("at", "mark", "depth_fsw"),
    "depth.readings": ("reading_fsw", "corrected_fsw"),
}


RECORD_OF_DIVE = [one for one in asked_fields(load_setup().authorities) if "(d)(3)" not in one.paragraph]
OF = "29 CFR 1910.423(d)"


@pytest.mark.parametrize("asked", RECORD_OF_DIVE, ids=lambda asked: asked.paragraph)
def test_every_field_the_law_asks_for_stands_in_the_record(asked: Any, body: dict[str, Any]) -> None:
    """29 CFR 1910.423(d)(1) and (2), text from memory; the paragraph is the case's name."""
    answers = LAW[asked.paragraph.removeprefix(OF)]
    assert set(answers) == set(asked.keys)
    for key, expected in answers.items():
        table, name = key.split(".")
        found = body[table][name]
        if key in ROWS:
            found = [tuple(row.get(column) for column in ROWS[key]) for row in found]
        assert found == expected


def test_a_field_the_law_asks_for_is_missed_by_name(body: dict[str, Any]) -> None:
    assert unanswered(body) == ()
    less = {**body, "conditions": {}, "dive": {**body["dive"]}}
    del less["dive"]["mode"]
    assert [(asked.paragraph.removeprefix(OF), key) for asked, key in unanswered(less)] == [
        ("(1)(iii)", "dive.mode"),
        ("(1)(v)", "conditions.visibility"),
        ("(1)(v)", "conditions.water_temperature_c"),
        ("(1)(v)", "conditions.current"),
        ("(1)(v)", "conditions.surface"),
    ]


def test_times_are_rounded_as_said(body: dict[str, Any]) -> None:
    """Descent 2:10 is 3 min, bottom 33:40 is 34 min; the others to the second, rounded up."""
    assert {key: value for key, value in body["times"].items() if key != "marks"} == {
        "descent_time_min": 3,
        "bottom_time_min": 34,
        "time_to_first_stop_s": 174,
        "total_decompression_time_s": 1840,
        "total_time_of_dive_s": 3860,
    }


def test_the_stop_is_told_as_due_and_as_served(body: dict[str, Any]) -> None:
    (stop,) = body["ascent"]["stops"]
    assert stop == {
        "depth": 20.0,
        "minutes": 27,
        "state": "done",
        "due_arrive": at(8, 6, 34),
        "reached": at(8, 6, 34),
        "starts": at(8, 6, 34),
        "due_leave": at(8, 33, 34),
        "left": at(8, 33, 34),
        "served_s": 27 * 60,
        "missing_s": 0,
    }
    assert body["ascent"]["due_at_first_stop_s"] == 174
    assert body["ascent"]["omitted"] == []
    assert [(row["where"], row["delay_s"], row["counted_min"]) for row in body["ascent"]["delays"]] == [
        ("to the surface", 6, 0)
    ]


def test_the_schedule_says_which_row_and_why(body: dict[str, Any]) -> None:
    schedule = body["schedule"]
    assert schedule["why"] == "107 fsw goes to 110; 34 min goes to 35 (Table 9-9, 110/35)"
    assert (schedule["table_depth"], schedule["table_time_min"], schedule["no_stop"]) == (110, 35, False)
    assert schedule["stops_owed"] == [{"depth": 20.0, "minutes": 27}]
    assert schedule["time_entered_min"] == schedule["bottom_time_min"] == 34
    assert (schedule["residual_nitrogen_time_min"], schedule["delays_min"]) == (0, 0)
    assert schedule["table_sha256"] == next(
        file["sha256"] for file in body["files"]["used"] if file["role"] == "tables"
    )


def test_the_trail_has_the_plan_and_every_change_with_its_source(body: dict[str, Any]) -> None:
    """No stop within 20 min at 110 fsw, then 25, 30, 35: USN Rev 7, Tables 9-7 and 9-9."""
    trail = body["schedule"]["trail"]
    assert trail[0]["what"] == "110 fsw for 35 min"
    assert [(row["rule"], row.get("was"), row["schedule"]) for row in trail] == [
        ("plan", None, "110/35"),
        ("surface left", None, "110/20"),
        ("depth of dive", "110/20", "70/48"),
        ("depth of dive", "70/48", "110/20"),
        ("next longer row", "110/20", "110/25"),
        ("next longer row", "110/25", "110/30"),
        ("next longer row", "110/30", "110/35"),
    ]
    last = trail[-1]
    assert (last["at"].replace(microsecond=0), last["time_min"], last["stops"]) == (at(8, 0), 31, "20:27")
    assert all(row["source"] for row in trail)


def test_outfit_inspection_and_dressing_are_all_there(body: dict[str, Any]) -> None:
    assert len(body["outfit"]["pieces"]) == 15
    assert body["outfit"]["pieces"][12] == {
        "at": at(6, 34, 24),
        "piece": "belt",
        "title": "Weighted belt",
        "number": "BT-04",
        "tested": date(2031, 3, 10),
        "test": "load test at 160 lb",
        "by": "rua-kessing",
    }
    assert {piece.get("stamped") for piece in body["outfit"]["pieces"][1:7]} == {"27"}
    assert len(body["inspection"]["items"]) == 27
    assert {item["result"] for item in body["inspection"]["items"]} == {"passed"}
    nuts = body["dressing"]["nuts"]
    assert sorted(row["stud"] for row in nuts if row["nut"] == "tried") == list(range(1, 13))
    belt = next(row for row in body["dressing"]["steps"] if row["step"] == "belt-on")
    assert belt == {
        "at": at(6, 57, 33),
        "part": "Dressing",
        "step": "belt-on",
        "title": "Weighted belt on",
        "by": "rua-kessing",
        "checked_by": "mikko-alder",
    }
    assert {row["part"] for row in body["dressing"]["steps"]} >= {"Connecting up", "Undressing"}


def test_readings_checks_notes_and_the_end_are_all_there(body: dict[str, Any]) -> None:
    assert len(body["supply"]["readings"]) == 16
    assert body["supply"]["readings"][3] == {
        "at": at(7, 26),
        "source": "manifold",
        "name": "Manifold",
        "pressure_psig": 150.0,
        "by": "tam-belcourt",
    }
    assert [check["good"] for check in body["voice"]["checks"]] == [True] * 9
    assert body["remarks"]["notes"] == []
    assert [item["noted"] for item in body["told"]["items"]] == [at(8, 40, 40)] * 5
    assert body["after"]["closed"] == at(8, 48, 40)
    assert body["after"]["by"] == "ines-oyelaran"
    assert body["station"]["altitude_ft"] == 180


def test_every_entry_stands_in_the_journal_with_its_hash(surveyed: "Drill") -> None:
    journal = read(surveyed.play().body())["journal"]
    entries = surveyed.watch.entries
    assert [row["seq"] for row in journal["entries"]] == list(range(1, len(entries) + 1))
    assert [row["body"] for row in journal["entries"]] == [entry.body for entry in entries]
    assert [row["hash"] for row in journal["entries"]] == [entry.hash.hex() for entry in entries]
    assert (journal["head"], journal["head_hash"]) == (entries[-1].seq, entries[-1].hash.hex())


def test_what_comes_after_the_closing_changes_nothing(surveyed: "Drill") -> None:
    before = surveyed.play().body()
    surveyed.enter(NoteMade, text="A second dive is talked over.")
    surveyed.enter(IncidentNoted, text="The compressor stopped.")
    assert surveyed.body() == before


def test_a_dive_that_is_not_closed_has_no_record(surveyed: "Drill") -> None:
    with pytest.raises(RecordError, match="lane 1 is not closed"):
        surveyed.play("dive.closed").body()
    with pytest.raises(RecordError, match="lane 7 is not closed"):
        surveyed.play().body(7)


def test_a_closing_made_anew_or_corrected_is_told_as_it_counts(surveyed: "Drill") -> None:
    first = surveyed.play().body()
    closing = surveyed.last("dive.closed")
    surveyed.enter(EntryWithdrawn, target=closing.id, reason="closed too early")
    with pytest.raises(RecordError, match="not closed"):
        surveyed.body()
    again = surveyed.enter(DiveClosed, lane=1, condition_after="Well").event
    surveyed.enter(NoteMade, text="Not of the record any more.")
    surveyed.enter(EntryAmended, target=again.id, changes={"condition_after": "Tired"}, reason="said later")
    after = surveyed.body()
    assert after != first
    told = read(after)
    assert told["after"]["condition"] == "Tired"
    assert told["corrections"]["withdrawn"][0]["reason"] == "closed too early"
    assert told["corrections"]["amended"][0]["was"] == "Well"
    assert told["journal"]["head"] == len(surveyed.watch.entries)


def test_signatures_stand_outside_the_body(surveyed: "Drill") -> None:
    before = surveyed.play().body()
    surveyed.enter(
        RecordSigned,
        lane=1,
        file="a.toml",
        sha256="0" * 64,
        person="tam-belcourt",
        role="timekeeper",
        fingerprint="SHA256:x",
    )
    assert surveyed.body() == before


def test_corrections_are_told_with_old_and_new_and_nothing_is_erased(surveyed: "Drill") -> None:
    surveyed.play("dive.closed")
    reading = surveyed.last("depth.read")
    pressure = surveyed.last("supply.read")
    amended = surveyed.enter(
        EntryAmended,
        by="tam-belcourt",
        target=reading.id,
        changes={"reading_fsw": 20.0},
        reason="misread the dial",
    )
    withdrawn = surveyed.enter(EntryWithdrawn, target=pressure.id, reason="read on the wrong gauge")
    told = read(surveyed.play().body())
    assert told["depth"]["readings"][-1]["reading_fsw"] == 20.0
    assert len(told["supply"]["readings"]) == 15
    (row,) = told["corrections"]["amended"]
    number = next(entry.seq for entry in surveyed.watch.entries if entry.event.id == reading.id)
    assert row == {
        "at": amended.event.at,
        "entry": number,
        "what": "lane 1: depth read 19 fsw",
        "field": "reading_fsw",
        "was": "19.0",
        "is": "20.0",
        "reason": "misread the dial",
        "by": "tam-belcourt",
    }
    (row,) = told["corrections"]["withdrawn"]
    assert (row["what"], row["was_by"], row["reason"], row["at"]) == (
        "Bank 1 2640 psig",
        "tam-belcourt",
        "read on the wrong gauge",
        withdrawn.event.at,
    )
    kept = told["journal"]["entries"]
    assert '"reading_fsw":19.0' in kept[number - 1]["body"]


def test_a_second_amendment_is_told_from_the_first_and_a_withdrawn_one_is_not_told_as_standing(
    surveyed: "Drill",
) -> None:
    surveyed.play("dive.closed")
    reading = surveyed.last("depth.read")
    for value in (20.0, 21.0):
        surveyed.enter(EntryAmended, target=reading.id, changes={"reading_fsw": value}, reason="again")
    surveyed.enter(EntryWithdrawn, target=surveyed.last("entry.amended").id, reason="it was 20")
    told = read(surveyed.play().body())
    assert [(row["was"], row["is"]) for row in told["corrections"]["amended"]] == [("19.0", "20.0")]
    assert told["depth"]["readings"][-1]["reading_fsw"] == 20.0
    assert len(told["corrections"]["withdrawn"]) == 1


def test_entries_of_another_lane_are_withheld_and_keep_their_place(surveyed: "Drill") -> None:
    surveyed.play("dive.closed")
    surveyed.enter(
        DivePlanned,
        lane=2,
        diver="wyn-farrow",
        tenders=("rua-kessing",),
        depth_fsw=50.0,
        time_min=10,
        work="Secret work",
    )
    note = surveyed.enter(NoteMade, lane=2, text="A secret note").event
    surveyed.enter(
        EntryAmended, target=note.id, changes={"text": "A secret change"}, reason="a secret reason"
    )
    surveyed.enter(NoteMade, text="The station's own note")
    body = surveyed.play().body()
    assert b"ecret" not in body
    assert b"The station's own note" in body
    rows = read(body)["journal"]["entries"]
    hidden = [row for row in rows if "body" not in row]
    assert len(hidden) == 3
    for row in hidden:
        entry = surveyed.watch.entries[row["seq"] - 1]
        assert row["body_sha256"] == hashlib.sha256(entry.body.encode()).hexdigest()
        assert row["hash"] == entry.hash.hex()


def test_a_stop_left_early_is_a_deviation(begin: "Begin") -> None:
    """A minute of the 27 is missing; the grace is 5 s, a station choice."""
    drill = begin("gate-survey.toml", ('at = "08:33:34.000"', 'at = "08:32:34.000"'))
    ascent = read(drill.play().body())["ascent"]
    assert (ascent["stops"][0]["served_s"], ascent["stops"][0]["missing_s"]) == (26 * 60, 60)
    assert ascent["omitted"] == [
        {"depth": 20.0, "missing_s": 60, "what": "20 fsw stop left early, 1:00 missing"}
    ]


def test_a_depth_declared_on_the_way_up_changes_the_schedule_with_its_reason(survey: "Drill") -> None:
    """111 fsw goes to the 120 row: 120/35 by USN Rev 7, Table 9-9."""
    survey.play("reached_stop")
    survey.enter(DepthDeclared, lane=1, depth_fsw=111.0, reason="the shaft is deeper than the gauge")
    told = read(survey.play().body())
    schedule = told["schedule"]
    change = next(row for row in schedule["trail"] if row["schedule"] == "120/35")
    assert (change["rule"], change["was"]) == ("depth of dive", "110/35")
    (declared,) = told["depth"]["declared"]
    assert (declared["depth_fsw"], declared["reason"]) == (111.0, "the shaft is deeper than the gauge")
    assert schedule["designation"] == "120/35"


def test_the_next_longer_schedule_is_a_modification_with_its_reason(survey: "Drill") -> None:
    survey.play("left_bottom")
    survey.enter(ScheduleLengthened, lane=1, reason="cold water")
    told = read(survey.play().body())
    assert told["schedule"]["modification"].startswith(
        "next longer schedule, cold or arduous dive: cold water ("
    )
    assert told["schedule"]["designation"] == "110/40"
    assert told["ascent"]["omitted"], "the script serves the shorter schedule's stop"


def test_a_delay_on_the_way_up_is_told_with_what_it_counted_for(begin: "Begin") -> None:
    """Late at 20 fsw, the first stop, by 3:00 from 107 fsw: over a minute is never let pass (USN Rev 6)."""
    drill = begin("gate-survey.toml", ('at = "08:06:34.000"', 'at = "08:09:34.000"'))
    told = read(drill.play().body())
    first = told["ascent"]["delays"][0]
    assert (first["where"], first["delay_s"], first["counted_min"]) == ("before the first stop", 180, 3)
    assert told["times"]["time_to_first_stop_s"] == 174 + 180
    assert told["ascent"]["due_at_first_stop_s"] == 174


def test_oxygen_on_the_way_up_is_never_told_as_air(survey: "Drill") -> None:
    survey.play("left_bottom")
    survey.enter(GasChosen, lane=1, gas="air_oxygen", reason="cold water")
    survey.play("left_stop")
    survey.enter(MarkTaken, by="tam-belcourt", lane=1, mark="on_oxygen")
    told = read(survey.play().body())
    assert told["supply"]["breathing_gas"].startswith("air; oxygen from and to the marks")
    (chosen,) = told["supply"]["gas_chosen"]
    assert (chosen["gas"], chosen["reason"]) == ("air, then oxygen in the water", "cold water")
    assert "on oxygen" in [row["mark"] for row in told["times"]["marks"]]


def test_a_second_dive_tells_the_interval_and_the_group_before(begin: "Begin") -> None:
    """Reached surface 08:34:20, left surface 12:40:00 a day later: 28:05:40, rounded down to the minute."""
    first = begin("gate-survey.toml").play()
    second = begin("rack-look-over.toml", ("lane = 1", "lane = 2"), watch=first.watch).play()
    told = read(second.body(2))["repetitive"]
    assert {
        key: told[key] for key in ("group_after", "since_last_exposure", "last_exposure", "group_then")
    } == {
        "group_after": "H",
        "since_last_exposure": "28:05 (hours and minutes, rounded down)",
        "last_exposure": "lane 1 of this journal, ended 2031-05-04T08:34:20.000Z",
        "group_then": "M",
    }
    (earlier,) = told["earlier"]
    assert (earlier["depth_entered"], earlier["bottom_time_min"], earlier["added_min"]) == (107, 34, 0)
    assert (told["reckoned"], told["residual_nitrogen_time_min"]) == ("not repetitive", 0)
    assert read(second.body(1))["repetitive"]["since_last_exposure"] == "none known to this station"


def test_a_no_stop_dive_has_no_stops_and_says_so(begin: "Begin") -> None:
    told = read(begin("rack-look-over.toml").play().body())
    assert told["schedule"]["designation"] == "60/63"
    assert told["schedule"]["no_stop"] is True
    assert told["ascent"]["stops"] == []
    assert told["times"]["time_to_first_stop_s"] == 125
    assert told["repetitive"]["group_after"] == "H"


def test_a_real_dive_is_not_marked_as_a_drill(begin: "Begin") -> None:
    body = begin("gate-survey.toml", drill=False).play().body()
    assert read(body)["record"]["drill"] is False
    assert b"DRILL" not in body


@pytest.mark.parametrize(
    "text",
    [
        '"""\n[[signature]]\nvalue = """',
        "[[statement]]\nrole='x'",
        "it's \\ \n[[addendum]]\nx",
    ],
)
def test_no_text_can_break_out_of_its_place(text: str, surveyed: "Drill") -> None:
    surveyed.play("dive.closed")
    surveyed.enter(NoteMade, lane=1, text=f"x {text} x")
    body = surveyed.play().body()
    assert read(body)["remarks"]["notes"][-1]["text"] == f"x {text} x"
    assert not any(line.startswith(b"[[") for line in body.split(b"\n"))
