"""Signing at the desk: keys made, passphrases mistyped, and who acts."""

from typing import TYPE_CHECKING

import pytest
from textual.widgets import Static

from station.board.entry_words import entry_words
from station.moments import iso, nearest_time_of_day, whole_ms

if TYPE_CHECKING:
    from station.folder import Folder
    from tests.console.conftest import Make, Play, Station, Tape

SECRET = " cold water, warm tea"


def shown(station: "Station") -> str:
    return "\n".join(str(one.render()) for one in station.app.screen.query(Static))


async def test_a_record_is_signed_by_everybody_who_must(make: "Make", keys: "Play", folder: "Folder") -> None:
    station = make("closed")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "g", "1", SECRET, "enter", " another one", "enter")
        assert "the two passphrases differ" in shown(station)
        assert not list(folder.keys.iterdir())
        await keys(pilot, " short", "enter")
        assert "a passphrase needs at least 8 characters" in shown(station)
        await keys(pilot, *["backspace"] * 5, SECRET, "enter", SECRET, "enter")
        assert "not yet signed" in shown(station)
        assert station.app.desk.said == (
            "SIGNED by Tam Belcourt as timekeeper; it is not yet signed by: supervisor"
        )
        await keys(pilot, "enter", "g", "1", SECRET, "enter", SECRET, "enter")
        assert "sound" in shown(station)
        assert station.app.desk.said == "SIGNED by Ines Oyelaran as supervisor; the record is sound"
        await keys(pilot, "enter", "g")
        assert "Signed by everybody" in shown(station)
    assert [one.role for one in station.watch.board.lanes[1].signatures] == ["timekeeper", "supervisor"]


async def test_a_wrong_passphrase_signs_nothing_and_is_asked_again(
    make: "Make", keys: "Play", folder: "Folder"
) -> None:
    from station.closeout import make_key  # noqa: PLC0415 - only here

    make_key(folder, "tam-belcourt", ["timekeeper"], SECRET.strip())
    station = make("closed")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "g", "1", " not that one", "enter")
        assert "NOT SIGNED" in shown(station)
        assert not station.watch.board.lanes[1].signatures
        await keys(pilot, SECRET, "enter")
        assert [one.person for one in station.watch.board.lanes[1].signatures] == ["tam-belcourt"]


async def test_who_acts_is_changed_at_the_desk(make: "Make", keys: "Play") -> None:
    station = make("inspection")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "y", "right", "enter", "enter", "enter", "n")
    assert station.watch.entries[-1].event.by == "mikko-alder"


def test_every_entry_of_a_dive_has_words(make: "Make", tape: "Tape") -> None:
    board = make("closed").watch.board
    for entry in tape.entries:
        words = entry_words(board, entry.event)
        assert words
        assert entry.event.kind not in words


@pytest.mark.parametrize(
    ("moment", "typed", "meant"),
    [
        ("2031-05-04T08:03:40.500Z", "08:03:30", "2031-05-04T08:03:30.000Z"),
        ("2031-05-04T08:03:40Z", "08:02", "2031-05-04T08:02:00.000Z"),
        ("2031-05-04T00:05:00Z", "23:58:00", "2031-05-03T23:58:00.000Z"),
        ("2031-05-04T23:58:00Z", "00:05:00", "2031-05-05T00:05:00.000Z"),
    ],
)
def test_a_typed_time_is_the_nearest_one_of_that_name(moment: str, typed: str, meant: str) -> None:
    from datetime import datetime  # noqa: PLC0415 - only here

    assert iso(nearest_time_of_day(whole_ms(datetime.fromisoformat(moment)), typed)) == meant
