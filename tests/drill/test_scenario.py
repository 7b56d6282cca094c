"""Scenario files: times that run on past midnight, delays, and mistakes named by their key."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from station.clock import HandClock
from station.drill.player import Player
from station.drill.scenario import at_time_of_day, delay, load_scenario
from station.errors import FileError
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.setup import load_setup
from station.shipped import shipped

DEMO = shipped("demo") / "ossary-dam"
LATE = datetime(2031, 5, 4, 23, 50, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "seconds"), [("0:30", 30), ("12:05", 725), ("1:02:03.500", 3723.5), ("0:00", 0), ("90:00", 5400)]
)
def test_a_delay_is_minutes_and_seconds_or_hours_before_them(text: str, seconds: float) -> None:
    assert delay(text) == timedelta(seconds=seconds)


def test_a_time_of_day_is_the_next_one_there_is() -> None:
    assert at_time_of_day(LATE, "23:50:00") == LATE
    assert at_time_of_day(LATE, "23:59:59.250") == LATE + timedelta(minutes=9, seconds=59, milliseconds=250)
    assert at_time_of_day(LATE, "00:05:00") == LATE + timedelta(minutes=15)


@pytest.mark.parametrize("name", ["gate-survey.toml", "rack-look-over.toml"])
def test_every_shipped_scenario_passes_its_checks(name: str) -> None:
    scenario = load_scenario(DEMO / name)
    assert {one.role for one in scenario.file.signature} == {"timekeeper", "supervisor"}
    assert all(one.why for one in scenario.file.expected)


MISTAKES: dict[str, tuple[str, str, str]] = {
    "a time before the one above": (
        'at = "12:40:00.000"',
        'at = "12:30:00"',
        r"\.at: 12:30:00 is before",
    ),
    "both kind and play": (
        'play = "pieces"',
        'play = "pieces"\nkind = "note.made"',
        "either kind or play",
    ),
    "neither at nor after": ('after = "0:20"\nby', "by", "needs either at or after"),
    "no such station file": ('station = "station.toml"', 'station = "st.toml"', "station: no such file: "),
    "a passphrase too short": ('"ossary drill only"', '"short"', "passphrase: "),
    "an unknown key": (
        "lane = 1\nby",
        "lane = 1\nbye",
        r"signature\[1\]\.bye: unknown key",
    ),
    "play without a lane": ('lane = 1\nplay = "pieces"', 'play = "pieces"', "play needs the lane"),
}


def changed(tmp_path: Path, old: str, new: str) -> Path:
    text = (DEMO / "rack-look-over.toml").read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "station.toml").write_bytes((DEMO / "station.toml").read_bytes())
    (tmp_path / "changed.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    return tmp_path / "changed.toml"


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_is_named_by_its_key(mistake: str, tmp_path: Path) -> None:
    old, new, words = MISTAKES[mistake]
    path = changed(tmp_path, old, new)
    with pytest.raises(FileError) as caught:
        load_scenario(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert re.search(words, str(caught.value)), str(caught.value)


PLAYED: dict[str, tuple[str, str, str]] = {
    "a value that cannot be": ("reading_fsw = 34", "reading_fsw = -3", r"line\[\d+\]\.fields\.reading_fsw: "),
    "a kind that is none": ('kind = "voice.checked"', 'kind = "voice.check"', r"line\[\d+\]\.kind: "),
    "a person who is not there": (
        'by = "jona-strand"\nseat',
        'by = "nobody"\nseat',
        r"line\[\d+\]: refused: nobody with the id 'nobody' has joined",
    ),
    "a piece that is not listed": (
        '    { lane = 1, piece = "shoes", number = "SH-04" },\n',
        "",
        "no piece 'shoes' is listed for lane 1",
    ),
    "a section of a dive that was not planned": (
        'lane = 1\nplay = "pieces"',
        'lane = 3\nplay = "pieces"',
        r"line\[10\]\.lane: no dive is planned in lane 3",
    ),
}


@pytest.mark.parametrize("mistake", PLAYED)
def test_a_mistake_that_shows_in_playing_is_named_by_file_line_and_key(mistake: str, tmp_path: Path) -> None:
    old, new, words = PLAYED[mistake]
    scenario = load_scenario(changed(tmp_path, old, new))
    clock = HandClock(scenario.file.start)
    setup = load_setup(scenario.station_path)
    watch = begin_on(MemoryJournal(), setup, clock, title="x", program="station 1.0", drill=True)
    with pytest.raises(FileError) as caught:
        _play(Player(watch, scenario), clock)
    assert str(caught.value).startswith(f"{scenario.path}: ")
    assert re.search(words, str(caught.value)), str(caught.value)


def _play(player: Player, clock: HandClock) -> None:
    while not player.finished:
        player.play_next(clock)


def test_what_is_played_out_plays_no_further(tmp_path: Path) -> None:
    scenario = load_scenario(changed(tmp_path, "x", "x"))
    clock = HandClock(scenario.file.start)
    setup = load_setup(scenario.station_path)
    watch = begin_on(MemoryJournal(), setup, clock, title="x", program="station 1.0", drill=True)
    player = Player(watch, scenario)
    _play(player, clock)
    with pytest.raises(FileError, match="nothing left to play"):
        player.play_next(clock)
