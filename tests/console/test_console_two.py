"""Two screens of one station on one journal: what one enters stands on the other after its next tick.

Each has a watch and a connection of its own, as two processes have; only the file is between them. The clock
is set by hand, and a screen takes in what the other entered when a test lets its tick come, not sooner.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from itertools import count
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
NO_TICK_S = 3600


@pytest.fixture
def clock(tape: "Tape") -> HandClock:
    """Return the clock of both screens, at the moment when the journal ends."""
    return HandClock(tape.points["descent"][1])


@pytest.fixture(autouse=True)
def _no_tick_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("station.console.app.TICK_S", NO_TICK_S)


@pytest.fixture
def pair(tape: "Tape", setup: "Setup", folder: "Folder", clock: HandClock, tmp_path: Path) -> Iterator[Pair]:
    """Return what opens two screens on a journal with a diver on the way down, each at its seat."""
    with ExitStack() as opened:

        def build(first: SeatName, second: SeatName) -> tuple[ConsoleApp, ConsoleApp]:
            path, pulses = tmp_path / "two.journal", count(step=10)
            with closing(SqliteJournal.create(path)) as journal:
                for name, data in tape.attachments.items():
                    journal.attach(name, data)
                for entry in tape.entries[: tape.points["descent"][0]]:
                    journal.append(entry.event, journal.head()[0])
            watches = [
                Watch(opened.enter_context(closing(SqliteJournal.open(path))), setup, clock)
                for _ in (first, second)
            ]
            clock.advance(5)
            one, other = (
                ConsoleApp(watch, folder, seat=seat, notice=False, pulse=lambda: next(pulses))
                for watch, seat in zip(watches, (first, second), strict=True)
            )
            one._waited = other._waited = lambda _key: 0.0
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


def taken(app: ConsoleApp) -> list[str]:
    """Return the marks of the lane as a screen knows them."""
    return [one.mark for one in app.watch_.board.lanes[1].marks]


REACHED = ["left_surface", "reached_bottom"]


@pytest.mark.parametrize(
    ("ticked", "why"),
    [
        (True, "lane 1: reached bottom was taken at another screen"),
        (False, "'reached bottom' cannot be taken: it was taken at"),
    ],
    ids=["seen", "not yet seen"],
)
async def test_one_mark_taken_at_both_screens_stands_once(
    pair: Pair, keys: "Play", *, ticked: bool, why: str
) -> None:
    """Whether or not the other's mark stands on the screen of whoever presses second."""
    times, decides = pair("timekeeper", "supervisor")
    async with times.run_test(size=(80, 24)) as here, decides.run_test(size=(80, 24)) as there:
        await keys(there)
        await keys(here, "f9")
        if ticked:
            await next_tick(decides, there)
        await keys(there, "f9")
        for app, pilot in ((times, here), (decides, there)):
            await next_tick(app, pilot)
            assert taken(app) == REACHED
        assert isinstance(decides.screen, Panel)
        assert why in decides.desk.said


@pytest.mark.parametrize(
    ("later_s", "marks"), [(1.999, REACHED), (2, [*REACHED, "left_bottom"])], ids=["1.999 s", "2 s"]
)
async def test_two_seconds_after_a_mark_of_the_other_screen_the_next_one_counts(
    pair: Pair, clock: HandClock, keys: "Play", later_s: float, marks: list[str]
) -> None:
    times, decides = pair("timekeeper", "supervisor")
    async with times.run_test(size=(80, 24)) as here, decides.run_test(size=(80, 24)) as there:
        await keys(there)
        await keys(here, "f9")
        await next_tick(decides, there)
        clock.advance(later_s)
        await keys(there, "f9")
        assert taken(decides) == marks


async def test_a_mark_of_ones_own_screen_bars_no_next_one(pair: Pair, keys: "Play") -> None:
    times, decides = pair("timekeeper", "supervisor")
    async with times.run_test(size=(80, 24)) as here, decides.run_test(size=(80, 24)):
        await keys(here, "f9", "f9")
        assert taken(times) == [*REACHED, "left_bottom"]
