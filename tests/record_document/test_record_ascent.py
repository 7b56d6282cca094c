"""What the record tells around the ascent: earlier dives, oxygen, the chamber, cards, company, altitude."""

import tomllib
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from station.board.figures import figures
from station.board.lane_facts import surfaced_at
from station.clock import HandClock
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.events import CardClosed, CardDecided, CardOpened
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.record.document import build
from station.record.recorded import recorded_dive
from station.record.render import as_text
from station.record.verify import verify_bytes
from station.setup import load_setup
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.record_document.conftest import Begin


def read(body: bytes) -> dict[str, Any]:
    return tomllib.loads(body.decode())


def printed(body: bytes) -> str:
    return as_text(body, verify_bytes(body))


def test_oxygen_in_the_water(begin: "Begin") -> None:
    """45 min of oxygen with one air break, worked out in the scenario."""
    body = begin("oxygen.toml").play().body()
    told = read(body)
    assert told["oxygen"] == {"breathed": True, "time_on_oxygen_s": 2700, "air_breaks": 1, "lost": False}
    assert told["chamber"]["marks"] == told["cards"]["entries"] == told["company"]["entries"] == []
    assert "Oxygen in the water 45:00, air breaks 1, lost: no" in printed(body)


def test_a_second_dive(begin: "Begin") -> None:
    """H is G after 1:33; 40 min at 60 fsw, 40 + 30 go to 60/70."""
    body = begin("second-dive.toml").play().body(2)
    told = read(body)["repetitive"]
    assert (told["reckoned"], told["residual_nitrogen_time_min"]) == ("repetitive", 40)
    (earlier,) = told["earlier"]
    assert (earlier["source"], earlier["group"]) == ("lane 1 of this journal", "H")
    assert read(body)["schedule"]["time_entered_min"] == 70
    assert "earlier dives" in [row["rule"] for row in read(body)["schedule"]["trail"]]
    assert "40 min" in printed(body)


def test_divers_together(begin: "Begin") -> None:
    body = begin("together.toml").play().body(1)
    told = read(body)
    assert [row["what"] for row in told["company"]["entries"]] == ["together"]
    assert (
        told["schedule"]["figures_of"] == "together: depth 114 fsw of Wyn Farrow, time 34 min of Jona Strand"
    )
    assert told["schedule"]["depth_entered_fsw"] == 114
    assert "Wyn Farrow" in printed(body)


def test_altitude() -> None:
    """92 fsw at 5,200 ft is 114.8 fsw at sea level, worked out in the scenario."""
    path = shipped("demo") / "tarn-velloch" / "outlet-works.toml"
    scenario = load_scenario(path)
    clock, setup = HandClock(scenario.file.start), load_setup(scenario.station_path)
    watch = begin_on(MemoryJournal(), setup, clock, title="Outlet", program="station 1.0", drill=True)
    player = Player(watch, scenario)
    while not player.finished:
        player.play_next(clock)
    told = read(build(watch.entries, 1, setup))
    assert (told["altitude"]["corrected"], told["altitude"]["depth"]) == (True, 92)
    assert round(told["altitude"]["equivalent_depth"], 1) == 114.8
    assert told["depth"]["maximum_fsw"] == 92
    assert [row["depth"] for row in told["ascent"]["stops"]] == [16]
    assert told["altitude"]["arrived"][0]["from_ft"] == 0
    assert told["altitude"]["stops"] == [{"table": 20, "here": 16, "gauge": 9}]
    text = printed(build(watch.entries, 1, setup))
    assert "Stops of the table     20 fsw 38 min" in text
    assert "Stops at the site      the table's 20 fsw is 16 fsw here, 9 fsw on the gauge" in text


def test_the_chamber_and_a_card(begin: "Begin") -> None:
    """110/35 on surface oxygen: no stop in the water; the interval begins a minute before the surface."""
    dive = begin("surface-oxygen.toml").play("left_bottom")
    dive.enter(CardOpened, lane=1, card="lost-voice")
    dive.enter(CardDecided, lane=1, card="lost-voice", text="line signals")
    dive.enter(CardClosed, lane=1, card="lost-voice", text="voice is back")
    dive.play("surfaced_in_chamber")
    assert figures(dive.watch.board, dive.clock.now()).lanes[0].interval_s is None
    body = dive.play().body()
    told = read(body)
    marks = [row["mark"] for row in told["chamber"]["marks"]]
    assert marks[:3] == ["left for the chamber", "entered the chamber", "reached chamber depth"]
    assert "by" not in told["chamber"]["marks"][0]
    assert (told["chamber"]["interval_s"], told["chamber"]["time_on_oxygen_s"]) == (270, 1800)
    assert told["chamber"]["oxygen_planned"] == [
        {"depth_fsw": 50, "minutes": 15},
        {"depth_fsw": 40, "minutes": 15},
    ]
    assert told["chamber"]["missing"] == []
    # At the surface at 08:07:14, out of the chamber at 08:42:34.5: the interval counts from there.
    assert told["repetitive"]["interval_begins"] == datetime(2031, 5, 4, 8, 42, 34, 500000, tzinfo=UTC)
    recorded = recorded_dive(body, "chamber.toml")
    assert recorded.surfaced == told["repetitive"]["interval_begins"] > told["dive"]["finished"]
    board = dive.watch.board
    assert surfaced_at(board.lanes[1]) == recorded.surfaced
    assert figures(board, recorded.surfaced + timedelta(minutes=7)).lanes[0].interval_s == 7 * 60
    assert [(row["what"], row.get("words")) for row in told["cards"]["entries"]] == [
        ("opened", None),
        ("decided", "line signals"),
        ("closed", "voice is back"),
    ]
    text = printed(body)
    assert "reached chamber depth 50 fsw" in text
    assert "decided: line signals" in text
