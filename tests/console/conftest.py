"""A console on a memory journal and a clock set by hand: nothing moves unless a test moves it."""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import count
from pathlib import Path

import pytest
from textual.events import Paste
from textual.pilot import Pilot

from station.board.alarms import Alarm
from station.clock import HandClock
from station.console.app import ConsoleApp
from station.console.panes.paint import Paint
from station.console.seats.names import SeatName
from station.drill.player import Player
from station.drill.scenario import Scenario, load_scenario
from station.folder import Folder
from station.journal.interface import Entry
from station.journal.memory import MemoryJournal, Store
from station.operation import begin_on
from station.setup import Setup, StationFile, load_setup
from station.shipped import shipped
from station.watch import Watch

SCENARIO = shipped("demo") / "ossary-dam" / "gate-survey.toml"


@dataclass
class Station:
    """A watch with a scenario played up to some point, and the console over it."""

    clock: HandClock
    watch: Watch
    app: ConsoleApp
    journal: MemoryJournal

    def kinds(self, last: int) -> list[str]:
        """Return the kinds of the last entries."""
        return [entry.event.kind for entry in self.watch.entries[-last:]]


@pytest.fixture(scope="session")
def scenario() -> Scenario:
    return load_scenario(SCENARIO)


@pytest.fixture(scope="session")
def setup(scenario: Scenario) -> Setup:
    return load_setup(scenario.station_path)


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return Folder(tmp_path).prepare()


UNTIL: dict[str, Callable[[dict[str, object]], bool]] = {
    "lane": lambda fields: fields["kind"] == "planning.checked",
    "planned": lambda fields: fields["kind"] == "piece.drawn",
    "inspection": lambda fields: fields["kind"] == "item.inspected",
    "connecting": lambda fields: fields.get("step") == "air-hose-connected",
    "nuts": lambda fields: fields.get("state") == "wrenched",
    "belt": lambda fields: fields.get("step") == "belt-on",
    "tried": lambda fields: fields.get("state") == "off",
    "word": lambda fields: fields.get("step") == "diver-ready",
    "release": lambda fields: fields.get("step") == "ready-to-dive",
    "left surface": lambda fields: fields.get("mark") == "left_surface",
    "descent": lambda fields: fields.get("mark") == "reached_bottom",
    "bottom": lambda fields: fields.get("mark") == "left_bottom",
    "ascent": lambda fields: fields.get("mark") == "reached_stop",
    "stop": lambda fields: fields.get("mark") == "left_stop",
    "last": lambda fields: fields.get("mark") == "reached_surface",
    "undressing": lambda fields: fields.get("step") == "faceplate-opened",
    "to close": lambda fields: fields["kind"] == "dive.closed",
    "closed": lambda _fields: False,
}
"""Each point of the scenario: the entry that would come next there."""


@dataclass(frozen=True)
class Tape:
    """The whole scenario played once: every entry, and for each point how many entries come before it."""

    entries: list[Entry]
    attachments: dict[str, bytes]
    points: dict[str, tuple[int, datetime]]


@pytest.fixture(scope="session")
def tape(scenario: Scenario, setup: Setup) -> Tape:
    clock, store = HandClock(scenario.file.start), Store()
    watch = begin_on(
        MemoryJournal(store), setup, clock, title=scenario.file.title, program="test", drill=True
    )
    player, points = Player(watch, scenario), {}
    while player.due is not None:
        for name, is_next in UNTIL.items():
            if name not in points and is_next(player.due.fields):
                points[name] = (watch.head, clock.now())
        player.play_next(clock)
    points["closed"] = (watch.head, clock.now())
    return Tape(store.entries, store.attachments, points)


Make = Callable[..., Station]


class Unnoted(Watch):
    """A watch that notes no alarm: what is entered is what a test enters."""

    def notice_alarms(self, stand: Sequence[Alarm], now: datetime) -> list[Entry]:
        """Let the alarms be shown and heard, and no more."""
        del stand, now
        return []


@pytest.fixture
def make(setup: Setup, folder: Folder, tape: Tape) -> Make:
    """Return what puts a console over the scenario as it stands before the entry that would come next.

    Further words stand in the station file: `make("bottom", keys={"crew": ("f11",)})`. Alarms are put on
    the journal where a test asks for it: `make("bottom", notes_alarms=True)`.
    """

    def build(
        until: str, seat: SeatName | None = None, *, notes_alarms: bool = False, **words: object
    ) -> Station:
        file = StationFile.model_validate({**setup.station.model_dump(), **words})
        seq, moment = tape.points[until]
        store = Store()
        store.entries, store.attachments = tape.entries[:seq], dict(tape.attachments)
        journal, clock = MemoryJournal(store), HandClock(moment)
        kind = Watch if notes_alarms else Unnoted
        watch = kind(journal, replace(setup, station=file), clock)
        clock.advance(5)
        pulses = count(step=10)
        app = ConsoleApp(watch, folder, seat=seat, notice=False, pulse=lambda: next(pulses))
        app._waited = lambda _key: 0.0
        return Station(clock, watch, app, journal)

    return build


async def painted(pilot: Pilot[int]) -> None:
    """Wait until the first tick has been painted."""
    while not pilot.app.screen_stack[0].query_one("#header", Paint).shown:
        await pilot.pause(0.02)
    await pilot.pause()


Play = Callable[..., Awaitable[None]]


@pytest.fixture
def keys() -> Play:
    """Return what presses keys one after another; words after a blank are typed at once."""

    async def press(pilot: Pilot[int], *names: str) -> None:
        await painted(pilot)
        for name in names:
            if name.startswith(" "):
                pilot.app.post_message(Paste(name[1:]))
                await pilot.pause()
            else:
                await pilot.press(name)

    return press
