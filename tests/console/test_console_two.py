"""Two screens of one station on one journal: what one enters stands on the other after its next tick.

Each has a watch and a connection of its own, as two processes have; only the file is between them.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from screen_text import screen_lines

from station.clock import HandClock
from station.console.app import TICK_S, ConsoleApp
from station.console.dialogs.panel import Panel
from station.console.seats.names import SeatName
from station.journal.store import SqliteJournal
from station.watch import Watch

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from station.folder import Folder
    from station.setup import Setup
    from tests.console.conftest import Play, Tape

Pair = Callable[[SeatName, SeatName], tuple[ConsoleApp, ConsoleApp]]


@pytest.fixture
def pair(tape: "Tape", setup: "Setup", folder: "Folder", tmp_path: Path) -> Iterator[Pair]:
    """Return what opens two screens on a journal with a diver on the way down, each at its seat."""
    with ExitStack() as opened:

        def build(first: SeatName, second: SeatName) -> tuple[ConsoleApp, ConsoleApp]:
            path, (count, moment) = tmp_path / "two.journal", tape.points["descent"]
            with closing(SqliteJournal.create(path)) as journal:
                for name, data in tape.attachments.items():
                    journal.attach(name, data)
                for entry in tape.entries[:count]:
                    journal.append(entry.event, journal.head()[0])
            clock = HandClock(moment)
            watches = [
                Watch(opened.enter_context(closing(SqliteJournal.open(path))), setup, clock)
                for _ in (first, second)
            ]
            clock.advance(5)
            one, other = (
                ConsoleApp(watch, folder, seat=seat, notice=False)
                for watch, seat in zip(watches, (first, second), strict=True)
            )
            return one, other

        yield build


def text(app: ConsoleApp) -> str:
    """Return what is on a screen."""
    return "\n".join(screen_lines(app))


async def next_tick(app: ConsoleApp, pilot: "Pilot[int]") -> str:
    """Let one tick come, and return what is on the screen after it."""
    app.tick()
    await pilot.pause()
    return text(app)


def test_two_ticks_come_within_half_a_second() -> None:
    assert 2 * TICK_S <= 0.5


async def test_a_mark_stands_on_the_other_screen_a_tick_after_it_was_taken(pair: Pair, keys: "Play") -> None:
    times, decides = pair("timekeeper", "supervisor")
    async with times.run_test(size=(80, 24)) as here, decides.run_test(size=(80, 24)) as there:
        await keys(there)
        assert "NEXT REACHED BOTTOM" in text(decides)
        await keys(here, "f9")
        assert "NEXT LEFT BOTTOM" in await next_tick(decides, there)
        await keys(there, "i", " mud stirred up", "enter")
        await next_tick(times, here)
        assert times.watch_.entries == decides.watch_.entries


async def test_one_mark_taken_at_both_screens_stands_once(pair: Pair, keys: "Play") -> None:
    times, decides = pair("timekeeper", "supervisor")
    async with times.run_test(size=(80, 24)) as here, decides.run_test(size=(80, 24)) as there:
        await keys(there)
        await keys(here, "f9")
        await keys(there, "f9")
        for app, pilot in ((times, here), (decides, there)):
            await next_tick(app, pilot)
            marks = [one.mark for one in app.watch_.board.lanes[1].marks]
            assert marks == ["left_surface", "reached_bottom"]
        assert isinstance(decides.screen, Panel)
        assert "lane 1: reached bottom was taken at another screen" in decides.desk.said
