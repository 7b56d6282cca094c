"""Alarms at the desk: noted at each tick, acknowledged by key, heard as bells, in sight above every dialog.

Before the surface is left a bank has not been read of late, and nothing else is wrong; five minutes later the
faceplate has been closed too long on deck.
"""

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from station.board.alarm_states import standing
from station.console.dialogs.alarms import AlarmList
from station.console.dialogs.form import Form
from station.console.heed import APART_S
from station.console.panes.strip import AlarmStrip
from station.errors import StorageError
from station.events import Event
from station.journal.interface import Entry
from station.setup import Sounds

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from tests.console.conftest import Make, Play, Station


def open_keys(station: "Station") -> list[str]:
    return [one.key for one in standing(station.watch.board.alarms) if one.acknowledged is None]


def strip(pilot: "Pilot[int]") -> list[str]:
    shown = pilot.app.screen_stack[0].query_one(AlarmStrip).shown
    return [line.strip() for line in shown.split("\n")]


def ticks(station: "Station", seconds: float) -> None:
    station.clock.advance(seconds)
    station.app.tick()


async def test_the_one_alarm_is_acknowledged_by_the_key_alone_and_stays_in_sight(
    make: "Make", keys: "Play"
) -> None:
    station = make("left surface", notes_alarms=True)
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        ticks(station, 1)
        (key,) = open_keys(station)
        assert strip(pilot)[0].endswith("` ack")
        await keys(pilot, "grave_accent")
        assert open_keys(station) == []
        state = next(one for one in standing(station.watch.board.alarms) if one.key == key)
        assert state.acknowledged is not None
        assert station.watch.board.has_role(state.acknowledged.by, "tender")  # whose seat this is
        assert strip(pilot)[0].startswith("(ACK ")
        assert "` ack" not in strip(pilot)[0]
        assert station.app.desk.said.startswith("TAKEN ")
        assert f"alarm acknowledged: {state.words}" in station.app.desk.said


async def test_of_several_one_is_chosen_or_all(make: "Make", keys: "Play") -> None:
    station = make("bottom", notes_alarms=True)
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        ticks(station, 400)
        before = open_keys(station)
        assert len(before) > 2
        await keys(pilot, "ctrl+d")
        assert isinstance(station.app.screen, AlarmList)
        await keys(pilot, "enter")
        assert len(open_keys(station)) == len(before) - 1
        assert isinstance(station.app.screen, AlarmList)
        await keys(pilot, "escape")
        assert len(open_keys(station)) == len(before) - 1
        await keys(pilot, "grave_accent", "a")
        assert open_keys(station) == []
        assert not isinstance(station.app.screen, AlarmList)
        assert [line.startswith("(ACK ") for line in strip(pilot)] == [True, True]


async def test_an_open_dialog_neither_hides_alarms_nor_stops_their_noting(make: "Make", keys: "Play") -> None:
    station = make("left surface", notes_alarms=True)
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "grave_accent", "w")
        assert isinstance(station.app.screen, Form)
        top = station.app.screen.query_one(".dialog").region.y
        ticks(station, 300)
        assert open_keys(station) == ["faceplate"]
        strip_at = station.app.screen_stack[0].query_one(AlarmStrip).region
        assert strip_at.bottom <= top
        assert strip(pilot) != ["no alarm"]
        await keys(pilot, "ctrl+d")
        assert open_keys(station) == []
        assert isinstance(station.app.screen, Form)
        await keys(pilot, "grave_accent")  # is typed into the form like any sign
        assert isinstance(station.app.screen, Form)


async def test_what_returns_is_to_be_acknowledged_anew(make: "Make", keys: "Play") -> None:
    station = make("left surface", notes_alarms=True)
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        ticks(station, 1)
        (key,) = open_keys(station)
        await keys(pilot, "grave_accent")
        watch = station.watch
        watch.notice_alarms([], station.clock.now())
        assert key not in [one.key for one in standing(watch.board.alarms)]
        ticks(station, 1)
        assert key in open_keys(station)


async def test_bells_ring_in_patterns_and_stop_with_the_acknowledging(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch
) -> None:
    station, due = make("left surface", notes_alarms=True), list[float]()
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        monkeypatch.setattr(station.app, "set_timer", lambda delay, _call: due.append(delay))
        (state,) = [one for one in standing(station.watch.board.alarms) if one.acknowledged is None]
        assert state.priority == "medium"
        ticks(station, 29)
        assert due == []  # it sounded with the first tick
        ticks(station, 1)
        assert due == [0.001, APART_S]
        ticks(station, 30)
        assert len(due) == 4
        monkeypatch.undo()
        await keys(pilot, "grave_accent")
        monkeypatch.setattr(station.app, "set_timer", lambda delay, _call: due.append(delay))
        ticks(station, 5)
        assert len(due) == 4


async def test_a_station_that_wants_no_bell_hears_none(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch
) -> None:
    station, due = make("left surface", notes_alarms=True, alarms=Sounds(sound="off")), list[float]()
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        monkeypatch.setattr(station.app, "set_timer", lambda delay, _call: due.append(delay))
        ticks(station, 1)
        assert open_keys(station)
        assert due == []


async def test_a_journal_that_cannot_be_written_is_told_silenced_and_noted_later(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_event: Event, _head: int = 0, **_more: int) -> Entry:
        raise StorageError("the disk is full")

    station, due = make("left surface", notes_alarms=True), list[float]()
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        head = station.watch.head
        with monkeypatch.context() as broken:
            broken.setattr(station.watch.journal, "append", full)
            ticks(station, 300)
            assert station.watch.head == head
            assert strip(pilot)[0].startswith("!!! HIGH the journal cannot be written: the disk is full")
            clock = station.app.screen_stack[0].query_one("#header")
            assert f"{station.clock.now():%H:%M:%S}" in str(clock.render())
            await keys(pilot, "grave_accent")
            assert station.app.desk.said.startswith("silent at this screen until the journal can be written")
            broken.setattr(station.app, "set_timer", lambda delay, _call: due.append(delay))
            ticks(station, 30)
            assert due == []
        ticks(station, 6)
        told = station.watch.board.alarms[None, "journal not writable"]
        assert told.cleared_at == station.clock.now()
        assert told.cleared_at - told.raised_at == timedelta(seconds=36)
        assert not any("cannot be written" in line for line in strip(pilot))
