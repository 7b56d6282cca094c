"""Alarms in a record: raised, acknowledged and cleared with their times, in the file and in its print."""

import json
import tomllib
from typing import TYPE_CHECKING, Any

from jsonschema import Draft202012Validator

from station.board.alarms import Alarm
from station.events import AlarmAcknowledged
from station.record.render_notes import alarms as in_text
from station.record.render_page import Body
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.record_document.conftest import Begin, Drill

SILENT = Alarm("medium", "depth silent", "depth not read for 5:01", 1)
LOST = Alarm("medium", "bank-1 lost", "Bank 1 LOST")


def noticed(drill: "Drill", *stand: Alarm) -> None:
    drill.watch.notice_alarms(stand, drill.clock.now())


def alarms_of(drill: "Drill") -> dict[str, Any]:
    document = tomllib.loads(drill.play().body().decode())
    found: dict[str, Any] = document["alarms"]
    wanted = json.loads((shipped("configs") / "schemas" / "record.schema.json").read_text(encoding="utf-8"))[
        "properties"
    ]["record"]["properties"]["alarms"]
    shown = json.loads(json.dumps(found, default=lambda one: f"{one:%Y-%m-%dT%H:%M:%S.000Z}"))
    defs = json.loads((shipped("configs") / "schemas" / "record.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator({**wanted, "$defs": defs["$defs"]}).validate(shown)
    return found


class TestRows:
    def test_one_raise_is_one_row_with_who_took_notice(self, begin: "Begin") -> None:
        drill = begin("gate-survey.toml").play("left_bottom")
        noticed(drill, SILENT)
        drill.clock.advance(5)
        drill.watch.enter(
            AlarmAcknowledged(lane=1, key="depth silent", **drill.watch.stamp("tam-belcourt", "timekeeper"))
        )
        drill.clock.advance(5)
        noticed(drill)
        drill.clock.advance(5)
        noticed(drill, SILENT)
        first, second = alarms_of(drill)["raised"]
        assert (first["of"], first["priority"], first["by"]) == ("dive", "medium", "tam-belcourt")
        assert (first["acknowledged"] - first["at"]).seconds == 5
        assert (first["cleared"] - first["at"]).seconds == 10
        assert not {"acknowledged", "by", "cleared"} & set(second)
        lines = " ".join(" ".join(in_text(Body({"alarms": {"raised": [first, second]}}))).split())
        assert "MEDIUM (dive) depth not read for 5:01; acknowledged" in lines
        assert lines.endswith("depth not read for 5:01; not acknowledged; stood at the closing")

    def test_a_rise_ends_the_row_before_it(self, begin: "Begin") -> None:
        drill = begin("gate-survey.toml").play("left_bottom")
        noticed(drill, LOST)
        drill.clock.advance(5)
        noticed(drill, Alarm("high", LOST.key, "no source left"))
        first, second = alarms_of(drill)["raised"]
        assert (first["of"], first["priority"], first["cleared"]) == ("station", "medium", second["at"])
        assert second["priority"] == "high"

    def test_of_the_station_only_what_stood_once_the_dive_was_planned(self, begin: "Begin") -> None:
        drill = begin("gate-survey.toml")
        noticed(drill, LOST)
        noticed(drill)
        noticed(drill, Alarm("low", "stands on", "x"))
        drill.clock.advance(1)
        assert [one["key"] for one in alarms_of(drill)["raised"]] == ["stands on"]

    def test_a_journal_without_alarms_says_nothing_of_them(self, begin: "Begin") -> None:
        assert b"[alarms]" not in begin("gate-survey.toml").play().body()
