"""The air in a record: sources, changes, tests with dates, every reading, sums at planning and on the way.

Sums by hand in tests/board/test_board_air.py: the same dive, 107 fsw for 33:40, planned 110 fsw for 35 min.
"""

import tomllib
from datetime import date
from typing import TYPE_CHECKING, Any

from station.events import ChangedOver, SourceLost, SourceRestored, TestDone

if TYPE_CHECKING:
    from tests.record_document.conftest import Drill


def supply(body: bytes) -> dict[str, Any]:
    found: dict[str, Any] = tomllib.loads(body.decode())["supply"]
    return found


def sums(body: bytes) -> dict[tuple[str, str], dict[str, Any]]:
    return {(row["when"], row["way"]): row for row in supply(body)["sums"]}


def test_the_sources_stand_in_the_order_of_change_over(survey_body: bytes) -> None:
    found = supply(survey_body)["sources"]
    assert [(one["id"], one["role"]) for one in found] == [
        ("bank-1", "primary"),
        ("bank-2", "secondary"),
        ("bank-3", "reserve"),
    ]
    assert (found[1]["flasks_on_line"], found[1]["floodable_cu_ft"]) == (4, 8)


def test_the_tests_stand_with_their_dates(survey_body: bytes) -> None:
    """Six months for the sample and the gauge, twelve for hoses: 29 CFR 1910.430, as the supply file says."""
    found = {row["id"]: row for row in supply(survey_body)["tests"]}
    assert {row["state"] for row in found.values()} == {"in date"}
    assert (found["air-sample"]["on"], found["air-sample"]["due"]) == (date(2031, 3, 18), date(2031, 9, 18))
    assert found["hose-1-test"]["due"] == date(2032, 2, 11)
    assert "within limits: oxygen 20.9 %" in found["air-sample"]["result"]


def test_a_failed_test_is_told_as_such(survey: "Drill") -> None:
    survey.play("left_surface")
    survey.enter(TestDone, test="hose-1-test", on=date(2031, 5, 1), passed=False, result="bulge at the end")
    found = {row["id"]: row for row in supply(survey.play().body())["tests"]}
    assert (found["hose-1-test"]["state"], found["hose-1-test"]["on"]) == ("failed", date(2031, 5, 1))
    assert found["hose-2-test"]["state"] == "in date"


def test_sums_at_planning_on_leaving_the_surface_and_on_leaving_the_bottom(survey_body: bytes) -> None:
    found = sums(survey_body)
    planned = found["planned", "as planned"]
    assert (planned["need_scf"], planned["covered"]) == (2469, True)
    told = supply(survey_body)["readings"]
    before = {one["source"] for one in told if one["at"] < planned["at"]}
    assert before == {"bank-1", "bank-2", "bank-3"}, "the plan goes by what was read before it"
    left = found["left surface", "as planned"]
    assert (left["need_scf"], left["covered"]) == (2469, True)
    up = found["left bottom", "leaving then"]
    assert (up["need_scf"], up["covered"]) == (647, True)
    assert abs(up["usable_scf"] - up["need_scf"] - up["spare_scf"]) <= 1
    assert found["left bottom", "without the primary"]["covered"]


def test_what_happened_to_a_source_is_told_and_counted(survey: "Drill") -> None:
    survey.play("left_bottom")
    lost = survey.enter(SourceLost, source="bank-1", reason="no pressure at the manifold")
    survey.enter(ChangedOver, source="bank-2")
    body = survey.play().body()
    assert [row["what"] for row in supply(body)["changes"]] == [
        "SOURCE LOST: Bank 1 (no pressure at the manifold)",
        "CHANGED OVER to Bank 2",
    ]
    assert supply(body)["changes"][0]["at"] == lost.event.at
    found = sums(body)
    assert "Bank 1" not in found["left bottom", "leaving then"]["words"]
    assert ("left bottom", "without the primary") not in found, "leaving then is without it already"


def test_a_source_restored_is_told(survey: "Drill") -> None:
    survey.play("left_bottom")
    survey.enter(SourceLost, source="bank-3")
    survey.enter(SourceRestored, source="bank-3", reason="valve freed")
    assert supply(survey.play().body())["changes"][-1]["what"] == "Bank 3 restored (valve freed)"
