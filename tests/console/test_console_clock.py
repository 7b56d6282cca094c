"""The machine's wall clock is set while a diver is below: the screen's clocks go on by the counter alone."""

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from screen_text import screen_lines

from station.board.alarm_states import standing
from station.clock import Anchor, AnchoredClock
from station.console.app import ConsoleApp
from station.events import ClockJumped
from station.journal.memory import MemoryJournal, Store
from station.moments import from_ms, ms_between
from station.watch import Watch

if TYPE_CHECKING:
    from datetime import datetime

    from station.folder import Folder
    from station.setup import Setup
    from tests.console.conftest import Play, Tape

SECOND = 10**9
HOURS_2 = 2 * 3600


@dataclass
class Machine:
    """The two clocks of a machine, set by hand."""

    wall: int
    counter: int = 5_000 * SECOND

    def wall_ns(self) -> int:
        return self.wall

    def counter_ns(self) -> int:
        return self.counter

    def run(self, seconds: int) -> None:
        """Let both go on."""
        self.wall += seconds * SECOND
        self.counter += seconds * SECOND

    def set_wall(self, seconds: int) -> None:
        """Let somebody set the wall clock."""
        self.wall += seconds * SECOND


def below(
    tape: "Tape", setup: "Setup", folder: "Folder"
) -> tuple[Machine, ConsoleApp, "datetime", "datetime"]:
    """Return a machine, the screen on it with a diver on the bottom, the time, when the surface was left."""
    count, moment = tape.points["bottom"]
    store = Store()
    store.entries, store.attachments = tape.entries[:count], dict(tape.attachments)
    wall_ms = ms_between(from_ms(0), moment)
    machine = Machine(wall_ms * 10**6)
    clock = AnchoredClock(Anchor("one run of it", wall_ms, machine.counter), machine)
    watch = Watch(MemoryJournal(store), setup, clock)
    left = watch.board.lanes[1].mark("left_surface")
    assert left is not None
    return machine, ConsoleApp(watch, folder, seat="tender", notice=False), moment, left.at


def told(app: ConsoleApp) -> int:
    """Return how many jumps of the clock stand as alarms."""
    return sum("clock was set by" in one.words for one in standing(app.watch_.board.alarms))


@pytest.mark.parametrize("sign", [1, -1])
async def test_bottom_time_is_right_and_the_jump_is_told_until_acknowledged(
    tape: "Tape", setup: "Setup", folder: "Folder", keys: "Play", sign: int
) -> None:
    machine, app, began, left = below(tape, setup, folder)

    async with app.run_test(size=(80, 24)) as pilot:

        async def after(seconds: int) -> str:
            """Return the screen of so long after the beginning; its two clocks are held against that."""
            app.tick()
            await pilot.pause()
            screen, now = "\n".join(screen_lines(app)), began + timedelta(seconds=seconds)
            counted = int((now - left).total_seconds())
            assert f"BOTTOM TIME {counted // 60}:{counted % 60:02}" in screen
            assert f" {now:%H:%M:%S} UTC " in screen
            return screen

        await keys(pilot)
        assert "clock was set" not in await after(0)
        machine.run(7)
        machine.set_wall(sign * HOURS_2)
        words = f"the machine's clock was set by {sign * HOURS_2:+} s"
        assert words in await after(7)
        machine.run(3)
        machine.set_wall(-sign * HOURS_2)
        await after(10)
        jumps = [one.event.by_s for one in app.watch_.entries if isinstance(one.event, ClockJumped)]
        assert jumps == [sign * HOURS_2, -sign * HOURS_2]
        machine.run(60)
        await after(70)
        assert told(app) == 2  # a clock that is right again is no reason to be silent
        await keys(pilot, "grave_accent", "a")
        machine.run(1)
        assert "clock was set by" not in await after(71)
        assert told(app) == 0
        assert [one.event.by_s for one in app.watch_.entries if isinstance(one.event, ClockJumped)] == jumps
