"""The screen itself: live figures, sizes, faults, leaving; nothing of it ever stops the clocks."""

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from screen_text import reached, screen_lines, settled
from textual.widgets import Static

from station.clock import DrillClock
from station.console.drill import DrillControl
from station.console.panes.paint import LargeClock, Paint
from station.drill.player import Player
from station.errors import StorageError
from station.events import Event, NoteMade
from station.journal.interface import Entry
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.watch import Watch

if TYPE_CHECKING:
    from station.console.app import ConsoleApp
    from station.drill.scenario import Scenario
    from station.folder import Folder
    from station.setup import Setup
    from tests.console.conftest import Make, Play


def text(app: "ConsoleApp", name: str) -> str:
    return app.screen_stack[0].query_one(f"#{name}", Paint).shown


def clock(app: "ConsoleApp") -> str:
    return app.screen_stack[0].query_one("#clock", LargeClock).value


async def test_the_big_clock_runs_also_under_a_dialog(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "w")
        before = clock(station.app)
        station.clock.advance(61)
        await reached(pilot, lambda: clock(station.app) != before)
        assert "BOTTOM TIME" in text(station.app, "clock-caption")


async def test_each_phase_has_its_clock(make: "Make", keys: "Play") -> None:
    captions = {
        "planned": "SINCE PLANNED",
        "descent": "BOTTOM TIME",
        "ascent": "NEXT MARK DUE IN",
        "stop": "STOP",
        "undressing": "SINCE SURFACED",
    }
    for until, caption in captions.items():
        station = make(until)
        async with station.app.run_test(size=(80, 24)) as pilot:
            await keys(pilot)
            assert caption in text(station.app, "clock-caption"), until


VIEWS = {
    "f2": "tender",
    "f3": "timekeeper",
    "f4": "supervisor",
    "a": "supply",
    "f5": "journal",
    "5": "trail",
    "6": "ladder",
}


def in_sight(app: "ConsoleApp") -> list[str]:
    return [name for name in VIEWS.values() if app.query_one(f"#{name}").region.area]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_seats_and_pages_are_one_key_apart(make: "Make", keys: "Play", size: tuple[int, int]) -> None:
    station = make("bottom")
    async with station.app.run_test(size=size) as pilot:
        for key, view in VIEWS.items():
            await keys(pilot, key)
            assert in_sight(station.app) == [view]
            assert station.app.query_one("#alarms").region.area
        await keys(pilot, "f4", "j", "escape")
        assert in_sight(station.app) == ["supervisor"]


async def test_the_timekeepers_seat_has_its_whole_room_the_first_time_it_is_shown(
    make: "Make", keys: "Play"
) -> None:
    """The clock stands still here, so what is painted first stays."""
    station = make("planned")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "f3")
        await pilot.pause()
        assert " DEEPEST   110 fsw (planned), table depth 110 fsw" in screen_lines(station.app)


async def test_a_screen_kept_at_a_seat_goes_back_to_it_and_no_mark_takes_it_away(
    make: "Make", keys: "Play"
) -> None:
    station = make("left surface", seat="supervisor")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "f9")
        assert station.watch.board.lanes[1].marks[-1].mark == "left_surface"
        assert in_sight(station.app) == ["supervisor"]
        await keys(pilot, "f2")
        assert in_sight(station.app) == ["tender"]
        await keys(pilot, "escape")
        assert in_sight(station.app) == ["supervisor"]


async def test_a_screen_that_is_no_seat_of_its_own_goes_along_with_the_dive(
    make: "Make", keys: "Play"
) -> None:
    station = make("left surface")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        assert in_sight(station.app) == ["tender"]
        await keys(pilot, "f9")
        assert in_sight(station.app) == ["timekeeper"]


async def test_a_drill_waits_until_its_notice_is_read(
    scenario: "Scenario", setup: "Setup", folder: "Folder", keys: "Play"
) -> None:
    from station.console.app import ConsoleApp  # noqa: PLC0415 - imported here for its type above

    moving = DrillClock(scenario.file.start, 0.0)
    watch = begin_on(MemoryJournal(), setup, moving, title=scenario.file.title, program="test", drill=True)
    control = DrillControl(Player(watch, scenario), moving, waits_with=120.0)
    app = ConsoleApp(watch, folder, control)
    async with app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        head = watch.head
        app.tick()
        app.tick()
        assert (moving.now(), watch.head) == (scenario.file.start, head)
        await keys(pilot, "enter")
        assert moving.rate == 120.0
        await reached(pilot, lambda: watch.head > head)


@pytest.mark.parametrize("size", [(59, 24), (80, 19), (20, 5)])
async def test_too_small_a_screen_says_so_and_still_shows_the_clock(
    make: "Make", keys: "Play", size: tuple[int, int]
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=size) as pilot:
        await keys(pilot)
        assert station.app.query_one("#small").region.area
        assert "BOTTOM TIME 33:4" in text(station.app, "small") or "BOTTOM TIME 32:5" in text(
            station.app, "small"
        )
        assert "too small" in text(station.app, "small")
        assert "!! MEDIUM Manifold not read" in text(station.app, "small")
        await pilot.resize_terminal(60, 20)
        await pilot.pause()
        assert not station.app.query_one("#small").region.area
        assert station.app.query_one("#clock").region.area


class FullDisk(MemoryJournal):
    """A journal on a disk that has just become full."""

    full = False

    def append(self, event: Event, expected_head: int) -> Entry:
        """Write, or say why not."""
        if self.full:
            raise StorageError("the disk is full")
        return super().append(event, expected_head)


async def test_what_cannot_be_written_is_loudly_not_taken(make: "Make", keys: "Play", setup: "Setup") -> None:
    station = make("bottom")
    journal = FullDisk(station.journal._store)
    watch = Watch(journal, setup, station.clock)
    station.app.watch_ = station.app.desk.watch = watch
    journal.full = True
    async with station.app.run_test(size=(80, 24)) as pilot:
        head, board = watch.head, watch.board
        await keys(pilot, "f9")
        assert "-loud" in station.app.screen.classes
        assert station.app.desk.said == "NOT TAKEN: the disk is full"
        assert (watch.head, watch.board) == (head, board)
        journal.full = False
        await keys(pilot, "enter", "f9")
        assert watch.board.lanes[1].marks[-1].mark == "left_bottom"


async def test_a_fault_in_a_tick_shows_in_the_alarm_strip_and_the_next_tick_comes(
    make: "Make", monkeypatch: pytest.MonkeyPatch
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()

        def broken(*_: object) -> None:
            raise ZeroDivisionError("nobody foresaw this")

        with monkeypatch.context() as patch:
            patch.setattr("station.console.app.figures", broken)
            station.app.tick()
        assert "nobody foresaw this" in text(station.app, "alarms")
        station.app.tick()
        assert "nobody foresaw this" not in text(station.app, "alarms")


async def test_another_seats_entry_appears_by_itself(make: "Make", setup: "Setup") -> None:
    station = make("bottom")
    other = Watch(MemoryJournal(station.journal._store), setup, station.clock)
    async with station.app.run_test(size=(80, 24)) as pilot:
        other.enter(NoteMade(lane=1, text="seen from afar", **other.stamp("tam-belcourt", "timekeeper")))
        await reached(pilot, lambda: station.watch.head == other.head)


async def test_a_jump_of_the_machines_clock_goes_on_the_journal(make: "Make") -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        before = clock(station.app)
        station.clock.wall_offset = timedelta(hours=2)
        station.app.tick()
        assert [one.by_s for one in station.watch.board.jumps] == [7200.0]
        assert clock(station.app) == before


async def test_leaving_is_asked_and_asked_twice_with_a_diver_in_the_water(make: "Make", keys: "Play") -> None:
    for until, questions in (("planned", 1), ("bottom", 2)):
        station = make(until)
        async with station.app.run_test(size=(80, 24)) as pilot:
            await keys(pilot, "q", "escape", "ctrl+q", "escape", "ctrl+c")
            assert station.app.is_running
            await keys(pilot, "q", *["enter"] * (questions - 1))
            assert station.app.is_running
            await keys(pilot, "enter")
            assert not station.app.is_running
        assert station.app.return_value == 0


async def test_leaving_a_drill_promises_no_way_back(make: "Make", keys: "Play") -> None:
    station = make("planned")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "q")
        words = "\n".join(screen_lines(station.app))
        assert "LEAVE THE CONSOLE?" in words
        assert "A drill is not gone on with" in words
        assert "station open" not in words


async def test_lanes_are_switched_and_entries_go_to_the_lane_in_view(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "b", "right", "enter", "enter", " 60", "enter", " 20", "enter", " Look", "enter")
        assert "[ 2 Wyn Farrow" in text(station.app, "lanes")
        await keys(pilot, "w", " for lane two", "enter", "f6")
        assert "[ 1 Jona Strand" in text(station.app, "lanes")
        await keys(pilot, "w", " for lane one", "enter")
    last = [entry.event.model_dump()["lane"] for entry in station.watch.entries[-2:]]
    assert last == [2, 1]


async def test_text_from_outside_is_shown_as_it_is(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    words = "[bold]not[/bold] [@click=app.quit]markup[/]"
    async with station.app.run_test(size=(120, 40)) as pilot:
        await keys(pilot, "w", f" {words}", "enter", "f5")
        lines = station.app.query_one("#lines")
        assert any(words in strip.text for strip in (lines.render_line(y) for y in range(lines.size.height)))


async def test_a_script_is_paused_stepped_hurried_and_taken_over(
    scenario: "Scenario", setup: "Setup", folder: "Folder", keys: "Play"
) -> None:
    from station.console.app import ConsoleApp  # noqa: PLC0415 - imported here for its type above

    moving = DrillClock(scenario.file.start, 0.0)
    watch = begin_on(MemoryJournal(), setup, moving, title=scenario.file.title, program="test", drill=True)
    control = DrillControl(Player(watch, scenario), moving)
    app = ConsoleApp(watch, folder, control, notice=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        head = watch.head
        await keys(pilot, "1", "full_stop")
        assert watch.head >= head + 2
        assert "DRILL standing still" in text(app, "header")
        await keys(pilot, "2")
        assert moving.rate == 0.0
        await keys(pilot, "3")
        assert moving.rate == 1.0
        await keys(pilot, "space", "space", "3")
        assert moving.rate == 2.0
        await keys(pilot, "w")
        assert "take over first" in app.screen.query_one(".dialog-line", Static).render().plain  # type: ignore[union-attr]
        await keys(pilot, "escape")
        await keys(pilot, "9", "enter", "w", " mine now", "enter")
        assert (control.over, watch.entries[-1].event.kind) == (True, "note.made")
        await keys(pilot, "1")
        assert "taken over" in app.desk.said


@pytest.mark.parametrize(("key", "then"), [("f2", "timekeeper"), ("f4", "supervisor")])
async def test_a_script_takes_the_screen_along_but_nobody_away_from_another_seat(  # noqa: PLR0917
    scenario: "Scenario", setup: "Setup", folder: "Folder", keys: "Play", key: str, then: str
) -> None:
    from station.console.app import ConsoleApp  # noqa: PLC0415 - imported here for its type above

    clock = DrillClock(scenario.file.start, 0.0)
    watch = begin_on(MemoryJournal(), setup, clock, title=scenario.file.title, program="test", drill=True)
    control = DrillControl(Player(watch, scenario), clock)
    while control.player.due and control.player.due.fields.get("mark") != "left_surface":
        control.step()
    app = ConsoleApp(watch, folder, control, notice=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, key, "1")
        await settled(pilot)
        assert watch.board.lanes[1].in_water
        assert in_sight(app) == [then]


async def test_the_depth_and_its_age_stand_whole_on_the_narrowest_screen(make: "Make", keys: "Play") -> None:
    """The reading itself gives way; nothing of a figure is cut off."""
    station = make("bottom", seat="timekeeper")
    async with station.app.run_test(size=(60, 20)) as pilot:
        await keys(pilot)
        await settled(pilot)
        (told,) = (line for line in screen_lines(station.app) if " DEPTH " in line)
        assert told.endswith("DEPTH 107 fsw, 0:05 ago")


async def test_the_time_of_the_next_mark_stands_whole_at_the_tender_of_the_narrowest_screen(
    make: "Make", keys: "Play"
) -> None:
    station = make("ascent", seat="tender")
    async with station.app.run_test(size=(60, 20)) as pilot:
        await keys(pilot)
        await settled(pilot)
        (told,) = (line for line in screen_lines(station.app) if "NEXT MARK DUE IN" in line)
        assert told.endswith(" REACHED STOP 20 FSW, due 08:06:34")
