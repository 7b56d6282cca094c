"""A page saved or copied: all of it, in a new file, said where; and what happens where there is no room."""

import base64
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from screen_text import reached, settled
from textual.widgets import OptionList, Static

from station.console.dialogs.find import Found, matching
from station.console.dialogs.keys import Keys
from station.console.panes.paint import Paint
from station.errors import StorageError
from station.folder import Folder

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play, Station

SAVE, COPY, LOOK = ("ctrl+p", "2"), ("ctrl+p", "3"), ("ctrl+p", "4")
NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)


def saved(station: "Station") -> str:
    """Return the page saved last."""
    return max((station.app.desk.folder.path / "pages").iterdir()).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("key", "name"), [("f2", "tender"), ("f5", "journal"), ("6", "ladder"), ("5", "trail")]
)
async def test_a_saved_page_is_whole_and_its_path_is_said(
    make: "Make", keys: "Play", key: str, name: str
) -> None:
    station = make("stop")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, key, *SAVE)
        alarms = station.app.query_one("#alarms", Paint).shown.split("\n")[0].rstrip()
        path = next((station.app.desk.folder.path / "pages").iterdir())
        assert path.name.endswith(f"-{name}.txt")
        assert station.app.desk.said.startswith(f"SAVED {path.name}, ")
        assert station.app.desk.said.endswith(f" in {path.parent}")
    page = saved(station)
    assert f"Page '{name}'" in page
    assert "NEXT" in page
    assert alarms in page


async def test_lists_are_saved_beyond_what_is_in_sight(make: "Make", keys: "Play") -> None:
    station = make("stop")
    async with station.app.run_test(size=(60, 20)) as pilot:
        await keys(pilot, "f5", *SAVE)
        shown = [str(one.prompt) for one in station.app.query_one("#lines", OptionList).options]
    lines = [line.rstrip() for line in saved(station).splitlines()]
    assert len(shown) == len(station.watch.entries) > 20
    assert [one.rstrip() for one in shown if one.rstrip() not in lines] == []


async def test_a_dive_on_paper_is_saved_from_where_it_is_read(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "7", " 130", "enter", " 30", "enter", "enter", "S", "s")
        told = str(station.app.screen.query_one(".dialog-sentence", Static).render())
        await keys(pilot, "escape")
        assert len(station.app.screen_stack) == 1
    paths = list((station.app.desk.folder.path / "pages").iterdir())
    assert len(paths) == 1
    assert told.startswith(f"SAVED {paths[0]}")
    assert "130 fsw for 30 min" in saved(station)


async def test_a_page_is_never_written_over_another(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, *SAVE, *SAVE, *SAVE)
    names = sorted(path.name for path in (station.app.desk.folder.path / "pages").iterdir())
    assert len(names) == 3


async def test_a_folder_that_takes_no_page_is_told_and_nothing_else_is_lost(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        monkeypatch.setattr(os, "fsync", full)
        await keys(pilot, *SAVE)
        assert "the page cannot be saved: No space left on device" in station.app.desk.said
        assert not list((station.app.desk.folder.path / "pages").iterdir()), "no part of it is left behind"
        monkeypatch.undo()
        await keys(pilot, "escape", "f9")
        assert station.kinds(1) == ["mark.taken"]


def full(_handle: int) -> None:
    """Do as a full disk does."""
    raise OSError(28, "No space left on device")


def test_a_file_where_the_folder_should_be_is_a_storage_error(tmp_path: Path) -> None:
    (tmp_path / "pages").write_text("in the way")
    with pytest.raises(StorageError, match="cannot be saved: "):
        Folder(tmp_path).save_page("dive", NOON, "words")


def test_a_name_taken_meanwhile_is_passed_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another screen of the station saves the same page in the same second."""
    folder = Folder(tmp_path)
    first = folder.save_page("dive", NOON, "one")
    answers = iter([first, first.with_name("free.txt")])
    monkeypatch.setattr("station.folder.unused", lambda _path: next(answers))
    second = folder.save_page("dive", NOON, "two")
    assert (first.read_text(), second.read_text(), second.name) == ("one", "two", "free.txt")


async def test_a_copy_goes_to_the_terminal_and_no_more_is_claimed(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch
) -> None:
    """OSC 52 of xterm's control sequences: the text in base64; nothing tells whether it arrived."""
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        written: list[str] = []
        monkeypatch.setattr(station.app._driver, "write", written.append)
        await keys(pilot, "f5", *COPY)
        sent = next(one for one in written if one.startswith("\x1b]52;c;"))
        text = base64.b64decode(sent.removeprefix("\x1b]52;c;").rstrip("\a")).decode()
        assert "Page 'journal'" in text
        assert "if the terminal takes copies" in station.app.desk.said
        assert "Ctrl-P, then 2" in station.app.desk.said


async def test_a_look_is_chosen_on_the_screen_and_no_colour_wins(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, *LOOK, "2")
        assert station.app.theme == "station-light"
        assert 'theme = "light"' in station.app.desk.said
    monkeypatch.setenv("NO_COLOR", "1")
    station = make("bottom", screen={"theme": "light"})
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        assert not station.app.theme.startswith("station-")
        await keys(pilot, *LOOK)
        assert "NO_COLOR is set" in station.app.desk.said


THINGS = [
    Found("mark.next", "next mark", "F9 m", "take the next expected mark"),
    Found("depth", "depth", "F7 d", "a depth as read on the pneumofathometer"),
    Found("close", "close", "z F11", "close the dive; a mark of its end"),
]


def test_what_is_typed_is_found_by_name_first_then_by_what_it_does() -> None:
    assert [one.id for one in matching(THINGS, "")] == ["mark.next", "depth", "close"]
    assert [one.id for one in matching(THINGS, "mark")] == ["mark.next", "close"]
    assert next(one.id for one in matching(THINGS, "DE")) == "depth"
    assert [one.id for one in matching(THINGS, "the mark")] == ["mark.next", "close"]
    assert [one.id for one in matching(THINGS, "clsoe")] == ["close"]
    assert matching(THINGS, "qqqq") == []


async def test_an_action_found_by_a_word_is_done(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        head = station.watch.head
        await keys(pilot, "ctrl+p", "1", *"qqqq", "enter", "escape")
        assert (station.watch.head, len(station.app.screen_stack)) == (head, 1)
        await keys(pilot, "ctrl+p", "1", *"next mark", "enter")
        await reached(pilot, lambda: station.kinds(1) == ["mark.taken"])


async def test_the_mouse_does_what_a_key_does(make: "Make", keys: "Play") -> None:
    """On a row of the order, on an option of a list, and on a name in the line of keys."""
    station = make("undressing")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "f2")
        head, order = station.watch.head, station.app.query_one("#order", OptionList)
        row = next(at for at, one in enumerate(order.options) if "NEXT" in str(one.prompt))
        order.highlighted = row
        await settled(pilot)
        await pilot.click("#order", offset=(3, row - int(order.scroll_y)))
        await reached(pilot, lambda: station.watch.head == head + 1)
        await keys(pilot, "ctrl+p")
        await pilot.click(station.app.screen.query_one(OptionList), offset=(3, 1))
        await reached(pilot, lambda: "SAVED" in station.app.desk.said)
        line = station.app.query_one("#keys", Paint)
        await pilot.click("#keys", offset=(line.shown.index("F1 ") + 1, 0))
        await reached(pilot, lambda: isinstance(station.app.screen, Keys))
