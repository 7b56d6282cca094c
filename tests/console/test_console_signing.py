"""Signing at the desk: a key that an agent holds, addenda, the diver, and files signed elsewhere."""

import re
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from screen_text import reached
from textual.widgets import OptionList, Static

from station.closeout import file_key, make_key, sign_record, verdict_on, write_record
from station.events import Role
from station.record.declare import declaration
from station.record.signing import sign_file

if TYPE_CHECKING:
    from station.folder import Folder
    from tests.conftest import OwnAgent
    from tests.console.conftest import Make, Play, Station

SECRET = "cold water, warm tea"
SIGNERS: tuple[tuple[str, Role], ...] = (("tam-belcourt", "timekeeper"), ("ines-oyelaran", "supervisor"))


def shown(station: "Station") -> str:
    return "\n".join(str(one.render()) for one in station.app.screen.query(Static))


def offered(station: "Station") -> list[str]:
    return [str(one.prompt) for one in station.app.screen.query_one(OptionList).options]


def signed(station: "Station") -> list[tuple[str, str, int | None]]:
    lane = station.watch.board.lanes[1]
    return [(one.person, one.role, one.addenda) for one in lane.signatures]


@pytest.fixture
def both(make: "Make", folder: "Folder") -> "Station":
    """A console over a dive that is closed and signed by both who must."""
    station = make("closed")
    path = write_record(station.watch, 1, folder)
    for person, role in SIGNERS:
        make_key(folder, person, [role], SECRET)
        sign_record(station.watch, 1, path, folder, person, role, file_key(folder, person, SECRET))
    return station


def record(folder: "Folder") -> Path:
    (path,) = folder.records.iterdir()
    return path


async def test_an_addendum_is_made_and_signed_by_keyboard(
    both: "Station", keys: "Play", folder: "Folder"
) -> None:
    before = record(folder).read_bytes()
    async with both.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "g")
        assert "Signed by everybody" in shown(both)
        assert [re.sub(r"^\d+ +", "", one) for one in offered(both)][:2] == [
            "Jona Strand as diver, who may sign",
            "an addendum: correct what was signed",
        ]
        await keys(pilot, "2", "1", " times.bottom", "enter")
        assert "the record has no key times.bottom" in shown(both)
        await keys(pilot, "ctrl+u", " times.bottom_time_min", "enter", " 35 min", "enter", " Late", "enter")
        assert "times.bottom_time_min stands as: 34" in shown(both)
        await keys(pilot, "enter", f" {SECRET}", "enter")
        assert "sound" in shown(both)
        await keys(pilot, "enter", "g")
        assert any("Ines Oyelaran as supervisor, the addendum too" in one for one in offered(both))
        await keys(pilot, "escape")
    assert signed(both)[2] == ("tam-belcourt", "timekeeper", 1)
    assert record(folder).read_bytes().startswith(before)
    verdict = verdict_on(record(folder), folder)
    assert verdict.sound
    assert verdict.signatures[2].addenda[0].text == "35 min"


async def test_an_addendum_left_half_way_signs_nothing(
    both: "Station", keys: "Play", folder: "Folder"
) -> None:
    before = record(folder).read_bytes()
    async with both.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "g", "2", "escape", "g", "2", "1", "escape", "g", "2", "1")
        await keys(pilot, " line 2", "enter", " x", "enter", " y", "enter", "escape")
        assert "left, nothing signed" in both.app.desk.said
    assert record(folder).read_bytes() == before
    assert len(signed(both)) == 2


async def test_the_diver_may_sign_and_need_not(both: "Station", keys: "Play", folder: "Folder") -> None:
    async with both.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "g", "1", f" {SECRET}", "enter", f" {SECRET}", "enter")
        assert "sound" in shown(both)
        await keys(pilot, "enter", "g")
        assert not any("as diver" in one for one in offered(both))
    assert signed(both)[2] == ("jona-strand", "diver", None)
    assert verdict_on(record(folder), folder).sound


async def test_a_file_signed_elsewhere_is_entered_when_it_is_seen(
    make: "Make", keys: "Play", folder: "Folder"
) -> None:
    station = make("closed")
    path = write_record(station.watch, 1, folder)
    make_key(folder, "tam-belcourt", ["timekeeper"], SECRET)
    said = declaration("tam-belcourt", "Tam Belcourt", "timekeeper", station.clock.now(), drill=True)
    sign_file(path, said, file_key(folder, "tam-belcourt", SECRET))
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "g")
        assert "now on the journal: tam-belcourt:timekeeper" in shown(station)
        assert "Ines Oyelaran as supervisor" in offered(station)[0]
    assert signed(station) == [("tam-belcourt", "timekeeper", None)]


@pytest.fixture
def agent(own_agent: "OwnAgent", folder: "Folder", monkeypatch: pytest.MonkeyPatch) -> str:
    """The path of an ssh-agent that holds the timekeeper's key and is the one in use."""
    monkeypatch.setenv("SSH_AUTH_SOCK", own_agent.socket)
    make_key(folder, "tam-belcourt", ["timekeeper"], SECRET)
    own_agent.add(folder.keys / "tam-belcourt", SECRET)
    return own_agent.socket


@pytest.mark.openssh
@pytest.mark.skipif(shutil.which("ssh-agent") is None, reason="ssh-agent is not installed")
async def test_a_key_that_the_agent_holds_is_offered_and_signs(
    make: "Make", keys: "Play", folder: "Folder", agent: str
) -> None:
    assert agent
    station = make("closed")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "g", "1")
        held = "The ssh-agent holds the key of Tam Belcourt: sign as timekeeper with it?"
        await reached(pilot, lambda: held in shown(station))
        await keys(pilot, "escape")
        await reached(pilot, lambda: "Passphrase" in shown(station))
        await keys(pilot, "escape", "g", "1")
        await reached(pilot, lambda: held in shown(station))
        await keys(pilot, "enter")
        await reached(pilot, lambda: "not yet signed" in shown(station))
    assert signed(station) == [("tam-belcourt", "timekeeper", None)]
    assert verdict_on(record(folder), folder).signatures[0].listed
