"""In every shipped drill, the alarms that ever stand are those of its story, written down here by hand."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import pytest

from station.board.alarms_now import alarms_now
from station.clock import HandClock
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.setup import Setup, load_setup
from station.shipped import shipped

DEMO = shipped("demo")
EVERY = timedelta(minutes=2)
"""No alarm that is announced before its time comes and goes in less."""
LEAST_GAP = timedelta(seconds=15)
"""Between entries that follow each other faster, nobody reads the screen."""

STEPS = ("row ends", "row ends 1 min", "row stepped")
"""The three stages of a step: each dive but the first pair is meant to go on to a longer row."""
OLD = {"1 depth silent", "bank-1 silent", "manifold silent"}  # read as seldom as people do


def steps(lane: int) -> set[str]:
    return {f"{lane} {stage}" for stage in STEPS}


STORIES: dict[str, set[str]] = {
    "ossary-dam/air-ends": {
        *steps(1),
        *OLD,
        "air short of plan",  # the banks are low, and the plan is longer than they last
        "air short now",  # on the way up, until a depth is read there
    },
    "ossary-dam/early": {*steps(1)},
    "ossary-dam/gate-survey": {*steps(1), *OLD, "1 voice silent"},
    "ossary-dam/late-deep": {*steps(1), "1 delay before the first stop 156"},  # held at 120 fsw
    "ossary-dam/late-shallow": {*steps(1), "1 delay before the first stop 107"},  # held at 40 fsw
    "ossary-dam/overrun": {
        *steps(1),
        "1 stop served 50",  # it is served and not left
        "1 delay leaving a stop 50",
        "1 exceptional next",  # after 180/25 comes 180/30, on air
        "1 exceptional",  # which the overrun leads to
    },
    "ossary-dam/oxygen": {
        *steps(1),
        "1 exceptional plan",  # 120/55 on air, until oxygen is chosen
        "1 oxygen due",  # a minute passes at 30 fsw until it is breathed
    },
    "ossary-dam/primary-lost": {
        *steps(1),
        "1 depth silent",  # on the way up
        "bank-1 lost",
        "bank-1 silent",  # read at the bottom only
        "bank-2 silent",  # not read since before the dive when it is brought on
    },
    "ossary-dam/rack-look-over": {*OLD, "1 voice silent"},
    "ossary-dam/second-dive": {*steps(2)},  # the first dive is far from its limit
    "ossary-dam/surface-oxygen": {
        *steps(1),
        "1 surface interval soon",  # 4:30 of 5:00
        "1 chamber on oxygen 50",  # half a minute passes until it is breathed
        "1 chamber move 40",  # moved 20 s after it is due
    },
    "ossary-dam/together": {
        *steps(1),
        *steps(2),
        "1 delay before the first stop 107",  # both are held
        "2 delay before the first stop 114",
    },
    "tarn-velloch/outlet-works": {*steps(1), "1 arrival"},  # not stated until shortly before the dive
}


def test_every_shipped_scenario_is_among_them() -> None:
    found = {path.relative_to(DEMO) for path in DEMO.rglob("*.toml") if path.name != "station.toml"}
    assert {path.with_suffix("").as_posix() for path in found} == set(STORIES)


def moments(now: datetime, due: datetime) -> Iterator[datetime]:
    """Yield when to look between two entries: now and then, and last just before the next."""
    if due - now < LEAST_GAP:
        return
    while now + EVERY < due:
        now += EVERY
        yield now
    yield due - timedelta(milliseconds=1)


@cache
def setup_at(station: Path) -> Setup:
    return load_setup(station)


def stood(path: Path) -> set[str]:
    """Return every alarm that ever stood in a drill: its lane, if it has one, and its key.

    Not looked at while the outfit is worked through step by step.
    """
    scenario = load_scenario(path)
    clock, setup = HandClock(scenario.file.start), setup_at(scenario.station_path)
    watch = begin_on(MemoryJournal(), setup, clock, title=scenario.file.title, program="test", drill=True)
    player, found = Player(watch, scenario), set[str]()
    while player.due is not None:
        steps = player.due.line.play is not None
        for moment in () if steps else moments(clock.now(), player.due.moment):
            found |= {f"{one.lane or ''} {one.key}".strip() for one in alarms_now(watch.board, moment)}
        player.play_next(clock)
    return found


@pytest.mark.parametrize("name", STORIES)
def test_each_alarm_belongs_to_the_story(name: str) -> None:
    assert stood(DEMO / f"{name}.toml") == STORIES[name]
