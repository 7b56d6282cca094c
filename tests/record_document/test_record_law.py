"""The law in a record: paragraphs, duties, gaps with their words, sickness, and what is checked of it."""

import tomllib
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

import pytest

from station.board.law import lacking
from station.board.state import LawEvent
from station.clock import HandClock
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.errors import FileError
from station.events import (
    BriefingDone,
    CasualtyNoted,
    DiverTold,
    GapExplained,
    ObservationEnded,
    PlanningChecked,
    SicknessSuspected,
    SicknessTreated,
)
from station.journal.memory import MemoryJournal
from station.law.keys import RECORD_KEYS, TABLES
from station.operation import begin_on
from station.record.content import check_complete
from station.record.document import build
from station.record.document_law import unanswered
from station.record.render import as_text
from station.record.verify import verify_bytes
from station.setup import load_setup
from station.shipped import shipped
from station.watch import Watch

if TYPE_CHECKING:
    from station.setup import Setup
    from tests.record_document.conftest import Begin, Drill

DEMO = shipped("demo") / "ossary-dam"


def told(drill: "Drill") -> dict[str, Any]:
    return tomllib.loads(drill.body().decode())


@pytest.fixture(scope="module")
def body(survey_body: bytes) -> dict[str, Any]:
    return tomllib.loads(survey_body.decode())


@pytest.fixture
def bare(played: "Drill", setup: "Setup") -> "Drill":
    """The decompression dive up to its closing, with nothing of it noted that only the law asks for."""
    clock, journal = HandClock(played.watch.entries[-2].event.at), MemoryJournal()
    for entry in played.watch.entries[:-1]:
        if not isinstance(entry.event, LawEvent):
            journal.append(entry.event, len(journal.read()))
    watch, scenario = Watch(journal, setup, clock), load_scenario(DEMO / "gate-survey.toml")
    rest = scenario.file.model_copy(update={"line": scenario.file.line[-1:], "start": clock.moment})
    return replace(played, watch=watch, player=Player(watch, replace(scenario, file=rest)), clock=clock)


@pytest.fixture
def sick(bare: "Drill") -> "Drill":
    """The same dive with everything that the law knows of, closed."""
    drill = bare
    drill.enter(PlanningChecked, lane=1, items=("mode", "gas"))
    drill.enter(BriefingDone, lane=1, items=("tasks",), people=("jona-strand", "rua-kessing"))
    drill.enter(DiverTold, by="rua-kessing", lane=1, items=("flying", "observed"))
    onset = drill.clock.now()
    drill.enter(SicknessSuspected, lane=1, symptoms="itching", onset=onset, onset_fsw=0.0)
    drill.enter(ObservationEnded, lane=1, text="goes to the chamber")
    drill.enter(SicknessTreated, lane=1, treatment="oxygen", results="no more itching")
    drill.enter(CasualtyNoted, lane=1, what="injury", circumstances="cut on the ladder")
    return drill.play()


def test_every_key_that_a_rule_file_may_name_stands_in_a_record(sick: "Drill", body: dict[str, Any]) -> None:
    full = told(sick)
    for table, (_, keys) in TABLES.items():
        assert set(keys) - {"remarks"} <= set(full[table]), table  # remarks on closing may stay empty
    headings = [line for line in sick.body().decode().splitlines() if line.startswith("# ---- ")]
    for table, (heading, _) in TABLES.items():
        assert any(f"# ---- {heading} -" in line for line in headings), table
    assert set(TABLES) <= set(body)


def test_board_and_record_agree_on_what_is_missing(bare: "Drill") -> None:
    """What the board calls lacking, the record has not got or holds empty; and the other way about."""
    body = told(bare.play())
    missing = lacking(bare.watch.board, bare.watch.board.lanes[1])
    absent = set()
    for key in RECORD_KEYS:
        table, name = key.split(".")
        value = body[table].get(name)
        empty = value in (None, []) or (table in {"planning", "briefing", "told"} and not _noted(value))
        absent |= {key} if empty else set()
    none_is_an_answer = {"ascent.omitted", "ascent.delays", "after.remarks"}
    none_is_an_answer |= {"remarks.incidents", "remarks.notes"}
    assert missing == absent - none_is_an_answer


def _noted(rows: Any) -> bool:
    return any("by" in row for row in rows)


def test_paragraphs_stand_above_the_tables_they_ask_for(survey_body: bytes) -> None:
    text = survey_body.decode()
    for table, paragraphs in {
        "people": "29 CFR 1910.423(d)(1)(i).",
        "conditions": "29 CFR 1910.423(d)(1)(v).",
        "depth": "29 CFR 1910.423(d)(1)(vi), 1910.423(d)(2)(i).",
        "sickness": "29 CFR 1910.423(d)(3)(i), 1910.423(d)(3)(ii).",
    }.items():
        assert f"# {paragraphs}\n[{table}]\n" in text


def test_a_dive_outside_the_no_stop_limits_is_asked_for_both_lists(body: dict[str, Any]) -> None:
    law = body["law"]
    assert len(law["asked"]) == 9
    assert {row["answer"] for row in law["asked"]} == {"stands"}
    assert (law["outside_no_stop"], law["sickness_suspected"]) == (True, False)
    assert (law["keep_until"], law["keep_by"]) == (date(2032, 5, 4), "29 CFR 1910.440(b)(3)")
    assert body["gaps"]["explained"] == []
    assert all("by" in row for part in ("planning", "briefing", "told") for row in body[part]["items"])


def test_what_was_not_noted_is_said_to_be_so_and_bars_nothing(bare: "Drill") -> None:
    found = told(bare.play())
    for part, count in (("planning", 11), ("briefing", 5), ("told", 5)):
        assert [row["noted"] for row in found[part]["items"]] == ["not noted"] * count


def test_a_no_stop_dive_is_asked_for_the_first_alone(begin: "Begin") -> None:
    found = told(begin("rack-look-over.toml").play())
    assert len(found["law"]["asked"]) == 6
    assert all("(d)(1)" in row["paragraph"] for row in found["law"]["asked"])
    assert found["told"]["observation"] == "none asked for"


def test_tests_of_the_equipment_are_told_with_where_their_dates_stand(body: dict[str, Any]) -> None:
    rows = {row["paragraph"]: row for row in body["law"]["equipment"]}
    hoses = rows["29 CFR 1910.430(c)(1)(iii)"]
    assert (hoses["every_months"], hoses["dated_under_supply_tests"]) == (12, ["hose-1-test", "hose-2-test"])
    assert "less_often_than_asked" not in hoses


def test_a_test_made_less_often_than_asked_is_named(played: "Drill") -> None:
    """Hoses yearly: 29 CFR 1910.430(c), from memory."""
    setup = played.watch.board.setup
    rare = [
        one.model_copy(update={"every_months": 24 if one.kind == "hose" else 6}) for one in setup.supply.tests
    ]
    supply = setup.supply.model_copy(update={"tests": tuple(rare)})
    body = tomllib.loads(build(played.watch.entries, 1, replace(setup, supply=supply)).decode())
    named = [
        row["less_often_than_asked"] for row in body["law"]["equipment"] if "less_often_than_asked" in row
    ]
    assert named == [["hose-1-test", "hose-2-test"]]


def test_duties_sickness_and_injury_are_told(sick: "Drill") -> None:
    found = told(sick)
    gas = next(row for row in found["planning"]["items"] if row["item"] == "gas")
    assert (gas["by"], gas["late"], gas["paragraphs"]) == ("ines-oyelaran", True, ["29 CFR 1910.421(d)(3)"])
    tasks = next(row for row in found["briefing"]["items"] if row["item"] == "tasks")
    assert tasks["people"] == ["jona-strand", "rua-kessing"]
    assert [row["item"] for row in found["told"]["items"] if "by" in row] == ["flying", "observed"]
    assert found["told"]["observed_until"] == datetime(2031, 5, 4, 9, 34, 20, tzinfo=UTC)
    assert (found["told"]["ended_words"], found["told"]["ended_early"]) == ("goes to the chamber", True)
    assert [row["symptoms"] for row in found["sickness"]["symptoms"]] == ["itching"]
    assert [row["results"] for row in found["sickness"]["treatment"]] == ["no more itching"]
    assert [row["what"] for row in found["casualty"]["circumstances"]] == ["injury"]
    assert found["law"]["keep_until"] == date(2036, 5, 4)
    assert len(found["law"]["asked"]) == 11
    assert unanswered(found) == ()


def test_the_print_tells_it_in_short(sick: "Drill") -> None:
    data = sick.body()
    text = " ".join(as_text(data, verify_bytes(data)).split())
    assert "Planning 2 of 11 noted (Ines Oyelaran " in text
    assert "NOT NOTED: mode" not in text
    assert "ended 08:4" in text
    assert ", EARLY: goes to the chamber" in text
    assert "SICKNESS SUSPECTED itching; since 08:" in text
    assert "INJURY cut on the ladder (Ines Oyelaran)" in text
    assert "Kept at least until 2036-05-04 (29 CFR 1910.440(b)(3))" in text


@pytest.fixture
def nowhere(begin: "Begin", setup: "Setup") -> "Drill":
    """A real dive at a place that nobody named, up to its closing."""
    place = setup.station.model_copy(update={"place": "not yet named"})
    drill = begin("rack-look-over.toml")
    watch = begin_on(
        MemoryJournal(), replace(setup, station=place), drill.clock, title="x", program="t", drill=True
    )
    return begin("rack-look-over.toml", watch=watch).play("dive.closed")


def test_a_dive_at_no_named_place_is_not_closed_without_words(nowhere: "Drill") -> None:
    with pytest.raises(FileError, match=r"date, time and location \(29 CFR 1910.423\(d\)\(1\)\(ii\)\)"):
        nowhere.play()


def test_an_explained_gap_is_answered(nowhere: "Drill") -> None:
    nowhere.enter(GapExplained, lane=1, key="station.place", words="north steps of the quay")
    nowhere.play()
    found = told(nowhere)
    (gap,) = found["gaps"]["explained"]
    assert (gap["key"], gap["why"], gap["by"]) == (
        "station.place",
        "north steps of the quay",
        "ines-oyelaran",
    )
    assert (
        next(row["answer"] for row in found["law"]["asked"] if "(1)(ii)" in row["paragraph"]) == "explained"
    )
    assert check_complete(found) is None
    del found["gaps"]["explained"][0]["why"]
    assert check_complete(found) == (
        "it has no station.place: date, time and location, 29 CFR 1910.423(d)(1)(ii)"
    )


def test_a_record_that_does_not_say_what_it_was_asked_for_is_held_to_the_usual_fields(
    body: dict[str, Any],
) -> None:
    less = {key: value for key, value in body.items() if key != "law"}
    assert check_complete(less) is None
    less["conditions"] = {}
    assert str(check_complete(less)).startswith("it has no conditions.visibility")


@pytest.mark.parametrize("law", [[], {"asked": 3}, {"asked": [3]}, {"asked": [{"keys": 1}]}, "x"])
def test_a_law_that_is_none_breaks_no_check(body: dict[str, Any], law: object) -> None:
    assert check_complete({**body, "law": law}) is None


def test_files_that_stand_in_are_told(played: "Drill") -> None:
    """A record of a journal that names no rule file says which one was used."""
    setup = played.watch.board.setup
    use = next(use for use in setup.uses if use.role == "authority")
    found = tomllib.loads(build(played.watch.entries, 1, replace(setup, stand_ins=(use,))).decode())
    assert found["files"]["stand_ins"] == [{"role": "authority", "name": use.name, "sha256": use.sha256}]


def test_the_shipped_scenarios_name_an_authority() -> None:
    path = DEMO / "gate-survey.toml"
    assert [one.id for one in load_setup(load_scenario(path).station_path).authorities] == ["us-29-cfr-1910"]
